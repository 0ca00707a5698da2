import type { Database } from 'better-sqlite3'
import type { Effect } from '../../core/model/effect.ts'
import type { Episode } from '../../core/model/episode.ts'
import { subjectKey } from '../../core/model/subject.ts'

/** Writes what followed from an input, each kind of effect to its table. */
export function createEffectWriter(db: Database): (effects: readonly Effect[]) => void {
  const putEpisode = db.prepare<[string, string, number, number | null, number | null, string]>(
    `INSERT INTO episode (id, subject_key, from_ms, to_ms, closed_ms, json) VALUES (?, ?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET to_ms = excluded.to_ms, closed_ms = excluded.closed_ms, json = excluded.json, withdrawn = 0`,
  )
  const dropEpisode = db.prepare<[string]>('DELETE FROM episode WHERE id = ?')
  const withdraw = db.prepare<[string]>('UPDATE episode SET withdrawn = 1 WHERE id = ?')
  const putAlarm = db.prepare<[string, string, number, string]>(
    `INSERT INTO alarm (id, state, opened_ms, json) VALUES (?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET state = excluded.state, json = excluded.json`,
  )
  const putTask = db.prepare<[string, string, number, number, string]>(
    `INSERT INTO task (id, state, opened_ms, changed_ms, json) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET state = excluded.state, changed_ms = excluded.changed_ms, json = excluded.json`,
  )
  const putEvent = db.prepare<[number, string, string]>(
    'INSERT INTO event (at_ms, kind, json) VALUES (?, ?, ?)',
  )
  const replace = db.prepare<[string]>(
    'UPDATE message_outbox SET replaced = 1 WHERE replace_key = ? AND delivered_ms IS NULL AND replaced = 0',
  )
  const putMessage = db.prepare<[string, string, string, string, number]>(
    'INSERT INTO message_outbox (idempotency_key, channel, replace_key, json, queued_ms) VALUES (?, ?, ?, ?, ?)',
  )
  const hasMessage = db.prepare<[string], { id: number }>(
    'SELECT id FROM message_outbox WHERE idempotency_key = ?',
  )
  const putSnapshot = db.prepare<[string, number, string]>(
    `INSERT INTO subject_snapshot (subject_key, through_ms, json) VALUES (?, ?, ?)
     ON CONFLICT (subject_key, through_ms) DO UPDATE SET json = excluded.json`,
  )
  const dropSnapshots = db.prepare<[string, number]>(
    'DELETE FROM subject_snapshot WHERE subject_key = ? AND through_ms >= ?',
  )
  const addNotJudged = db.prepare<[number]>(
    `INSERT INTO counter (name, value) VALUES ('notJudged', ?) ON CONFLICT (name) DO UPDATE SET value = value + excluded.value`,
  )
  const writeEpisode = (e: Episode): void =>
    void putEpisode.run(e.id, subjectKey(e.subject), e.fromMs, e.toMs, e.closedMs, JSON.stringify(e))

  const write = (effect: Effect): void => {
    switch (effect.type) {
      case 'episodeOpened':
      case 'episodeClosed':
        return writeEpisode(effect.episode)
      case 'episodeCorrected':
        if (effect.previousId !== effect.episode.id) dropEpisode.run(effect.previousId)
        return writeEpisode(effect.episode)
      case 'episodeWithdrawn':
        return void withdraw.run(effect.episodeId)
      case 'alarmChanged': {
        const { alarm, atMs } = effect
        putAlarm.run(alarm.id, alarm.state, alarm.openedMs, JSON.stringify(alarm))
        return void putEvent.run(
          atMs,
          'alarm',
          JSON.stringify({ id: alarm.id, state: alarm.state, title: alarm.title }),
        )
      }
      case 'taskChanged': {
        const { task, atMs } = effect
        putTask.run(task.id, task.state, task.openedMs, atMs, JSON.stringify(task))
        return void putEvent.run(
          atMs,
          'task',
          JSON.stringify({ id: task.id, state: task.state, title: task.title }),
        )
      }
      case 'messageQueued': {
        const { message, atMs } = effect
        if (hasMessage.get(message.idempotencyKey)) return
        replace.run(message.replaceKey)
        return void putMessage.run(
          message.idempotencyKey,
          message.channel,
          message.replaceKey,
          JSON.stringify(message.body),
          atMs,
        )
      }
      case 'subjectSnapshot':
        return void putSnapshot.run(effect.subjectKey, effect.throughMs, effect.stateJson)
      case 'subjectSnapshotsDropped':
        return void dropSnapshots.run(effect.subjectKey, effect.fromMs)
      case 'readingsNotJudged':
        return void addNotJudged.run(effect.count)
    }
  }
  return (effects) => effects.forEach(write)
}

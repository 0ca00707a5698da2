import { alarmChangeOf, type AlarmChange } from '../../services/core/model/alarm-change.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Disposal } from '../../services/core/model/disposal.ts'
import type { Effect, OutboundMessage } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type {
  BookOfRecord,
  PendingMessage,
  RecordedEvent,
  RecordsReader,
  SubjectHistory,
} from '../../services/core/model/ports/records.ts'
import type { MachineQuarter } from '../../services/core/model/quarter.ts'
import type { Task } from '../../services/core/model/task.ts'
import { createMemoryLogEntries, type LogFacts } from './memory-log-entries.ts'
import { createMemoryNotices } from './memory-notices.ts'
import type { UndoJournal } from './undo-journal.ts'

interface Snapshot {
  readonly subjectKey: string
  readonly throughMs: number
  readonly stateJson: string
}

export interface MemoryEffects extends Pick<
  BookOfRecord,
  'pendingMessages' | 'markMessage' | 'pendingNotices' | 'settleNotice'
> {
  readonly apply: (effect: Effect) => void
  readonly event: (atMs: number, kind: RecordedEvent['kind'], body: RecordedEvent['body']) => void
  /** Not withdrawn, in order of (fromMs, id). */
  readonly episodes: () => readonly Episode[]
  readonly snapshotBefore: SubjectHistory['snapshotBefore']
  readonly pruneSnapshots: (beforeMs: number) => void
  readonly notJudged: () => number
  readonly facts: Pick<
    RecordsReader,
    | 'alarm'
    | 'alarmChanges'
    | 'task'
    | 'episodes'
    | 'eventsAfter'
    | 'machineQuarters'
    | 'disposals'
    | 'disposalHistory'
    | keyof LogFacts
  >
}

/** What followed from inputs, in plain Maps. */
export function createMemoryEffects(journal: UndoJournal): MemoryEffects {
  const episodes = new Map<string, Episode & { withdrawn?: boolean }>()
  const alarms = new Map<string, Alarm>()
  const changes: AlarmChange[] = []
  const tasks = new Map<string, Task>()
  const quarters = new Map<string, MachineQuarter>()
  const events: RecordedEvent[] = []
  const notJudged: number[] = []
  const disposals: Disposal[] = []
  const log = createMemoryLogEntries(journal)
  const snapshots = createSnapshots(journal)
  const outbox = createOutbox(journal)
  const notices = createMemoryNotices(journal)
  const event: MemoryEffects['event'] = (atMs, kind, body) =>
    journal.push(events, { id: events.length + 1, atMs, kind, body })
  const standing = (): Episode[] =>
    [...episodes.values()]
      .filter((e) => e.withdrawn !== true)
      .sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1))

  const apply = (effect: Effect): void => {
    switch (effect.type) {
      case 'episodeOpened':
      case 'episodeClosed':
        return journal.put(episodes, effect.episode.id, structuredClone(effect.episode))
      case 'episodeCorrected':
        journal.drop(episodes, effect.previousId)
        return journal.put(episodes, effect.episode.id, structuredClone(effect.episode))
      case 'episodeWithdrawn': {
        const known = episodes.get(effect.episodeId)
        return known && journal.put(episodes, known.id, { ...known, withdrawn: true })
      }
      case 'alarmChanged': {
        const { id, state, title } = effect.alarm
        const change = alarmChangeOf(alarms.get(id) ?? null, effect.alarm, effect.atMs)
        if (change) journal.push(changes, change)
        journal.put(alarms, id, structuredClone(effect.alarm))
        return event(effect.atMs, 'alarm', { id, state, title })
      }
      case 'taskChanged': {
        const { id, state, title } = effect.task
        journal.put(tasks, id, structuredClone(effect.task))
        return event(effect.atMs, 'task', { id, state, title })
      }
      case 'disposalLogged':
        return journal.push(disposals, structuredClone(effect.disposal))
      case 'logEntryNoted':
        return log.add(effect.entry)
      case 'messageQueued':
        return outbox.queue(effect.message, effect.atMs)
      case 'noticeQueued':
        return notices.queue(effect.notice, effect.atMs)
      case 'quarterNoted':
        return journal.put(quarters, `${effect.quarter.machineId}|${effect.quarter.endMs}`, effect.quarter)
      case 'subjectSnapshot':
        return snapshots.put(effect)
      case 'subjectSnapshotsDropped':
        return snapshots.dropWhere((s) => s.subjectKey === effect.subjectKey && s.throughMs >= effect.fromMs)
      case 'readingsNotJudged':
        return journal.push(notJudged, effect.count)
    }
  }
  return {
    apply,
    event,
    episodes: standing,
    snapshotBefore: snapshots.before,
    pruneSnapshots: (beforeMs) => snapshots.dropWhere((s) => s.throughMs < beforeMs),
    notJudged: () => notJudged.reduce((a, b) => a + b, 0),
    pendingMessages: outbox.pending,
    markMessage: outbox.mark,
    pendingNotices: notices.pendingNotices,
    settleNotice: notices.settleNotice,
    facts: {
      alarm: (id) => alarms.get(id) ?? null,
      alarmChanges: ({ fromMs, toMs }) => changes.filter((c) => c.atMs >= fromMs && c.atMs < toMs),
      task: (id) => tasks.get(id) ?? null,
      episodes: ({ fromMs, toMs }) =>
        standing().filter((e) => e.fromMs < toMs && (e.toMs === null || e.toMs > fromMs)),
      machineQuarters: ({ machineId, fromMs, toMs }) =>
        [...quarters.values()]
          .filter((q) => q.machineId === machineId && q.endMs > fromMs && q.endMs <= toMs)
          .sort((a, b) => a.endMs - b.endMs),
      ...log.facts,
      disposals: ({ fromMs, toMs, limit }) =>
        newestDisposals(disposals)
          .filter((d) => d.disposedMs >= fromMs && d.disposedMs < toMs)
          .slice(0, limit),
      disposalHistory: (id) => disposals.filter((d) => d.disposalId === id),
      eventsAfter: ({ afterId, limit }) => events.slice(afterId, afterId + limit),
    },
  }
}

function newestDisposals(entries: readonly Disposal[]): Disposal[] {
  const newest = new Map(entries.map((d, entry) => [d.disposalId, entry]))
  return [...newest.values()]
    .flatMap((entry) => entries.slice(entry, entry + 1).map((disposal) => ({ entry, disposal })))
    .sort((a, b) => b.disposal.disposedMs - a.disposal.disposedMs || b.entry - a.entry)
    .map(({ disposal }) => disposal)
}

function createSnapshots(journal: UndoJournal) {
  const snapshots = new Map<string, Snapshot>()
  return {
    put: ({ subjectKey, throughMs, stateJson }: Snapshot): void =>
      journal.put(snapshots, `${subjectKey}|${throughMs}`, { subjectKey, throughMs, stateJson }),
    dropWhere: (isOld: (snapshot: Snapshot) => boolean): void => {
      for (const [key, snapshot] of snapshots) if (isOld(snapshot)) journal.drop(snapshots, key)
    },
    before: ({ subjectKey, beforeMs }: { subjectKey: string; beforeMs: number }) => {
      let newest: Snapshot | null = null
      for (const s of snapshots.values()) {
        const fits = s.subjectKey === subjectKey && s.throughMs < beforeMs
        if (fits && (newest === null || s.throughMs > newest.throughMs)) newest = s
      }
      return newest && { throughMs: newest.throughMs, stateJson: newest.stateJson }
    },
  }
}

function createOutbox(journal: UndoJournal) {
  const messages = new Map<number, PendingMessage>()
  /** Delivered, or replaced by a newer one. */
  const gone = new Map<number, true>()
  const all = (): PendingMessage[] => [...messages.values()].sort((a, b) => a.id - b.id)
  return {
    queue: (message: OutboundMessage, atMs: number): void => {
      if (all().some((m) => m.idempotencyKey === message.idempotencyKey)) return
      for (const m of all()) if (m.replaceKey === message.replaceKey) journal.put(gone, m.id, true)
      const id = messages.size + 1
      journal.put(messages, id, { ...structuredClone(message), id, queuedMs: atMs, attempts: 0 })
    },
    pending: (limit: number): PendingMessage[] =>
      all()
        .filter((m) => !gone.has(m.id))
        .slice(0, limit),
    mark: ({ id, delivered }: { id: number; delivered: boolean }): void => {
      const m = messages.get(id)
      if (m) journal.put(messages, id, { ...m, attempts: m.attempts + 1 })
      if (delivered) journal.put(gone, id, true)
    },
  }
}

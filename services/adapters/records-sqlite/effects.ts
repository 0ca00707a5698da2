import type { Effect } from '../../core/model/effect.ts'
import type { AlarmsAndTasks } from './alarms-and-tasks.ts'
import type { Counters } from './counters.ts'
import type { DisposalTable } from './disposals.ts'
import type { EpisodeTable } from './episodes.ts'
import type { LogEntryTable } from './log-entries.ts'
import type { NoticeTable } from './notices.ts'
import type { MachineQuarterTable } from './machine-quarters.ts'
import type { Outbox } from './outbox.ts'
import type { SubjectSnapshots } from './snapshots.ts'

export interface EffectTables {
  readonly episodes: EpisodeTable
  readonly work: AlarmsAndTasks
  readonly outbox: Outbox
  readonly quarters: MachineQuarterTable
  readonly notices: NoticeTable
  readonly disposals: DisposalTable
  readonly logEntries: LogEntryTable
  readonly snapshots: SubjectSnapshots
  readonly counters: Counters
}

/** Writes what followed from an input, each kind of effect to its table. */
export function createEffectWriter(tables: EffectTables): (effect: Effect, seq: number) => void {
  const { episodes, work, outbox, quarters, notices, disposals, logEntries, snapshots, counters } = tables
  return (effect, seq) => {
    switch (effect.type) {
      case 'episodeOpened':
      case 'episodeClosed':
        return episodes.put(effect.episode)
      case 'episodeCorrected':
        return episodes.correct(effect.previousId, effect.episode)
      case 'episodeWithdrawn':
        return episodes.withdraw(effect.episodeId)
      case 'alarmChanged':
        return work.putAlarm(effect.alarm, effect.atMs)
      case 'taskChanged':
        return work.putTask(effect.task, effect.atMs)
      case 'disposalLogged':
        return disposals.add(effect.disposal, effect.atMs)
      case 'logEntryNoted':
        return logEntries.add(effect.entry, effect.atMs)
      case 'messageQueued':
        return outbox.queue(effect.message, effect.atMs)
      case 'noticeQueued':
        return notices.queue(effect.notice, effect.atMs)
      case 'quarterNoted':
        return quarters.put(effect.quarter, seq)
      case 'subjectSnapshot':
        return snapshots.put(effect.subjectKey, effect.throughMs, effect.stateJson)
      case 'subjectSnapshotsDropped':
        return snapshots.drop(effect.subjectKey, effect.fromMs)
      case 'readingsNotJudged':
        return counters.add('notJudged', effect.count)
    }
  }
}

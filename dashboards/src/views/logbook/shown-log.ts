import type { LogFeed, LogRow, LogSaid } from '../../api/log-api.ts'
import type { AppModel } from '../../models/app-model.ts'

/** What every part of the logbook is given. */
export interface ShownLog {
  readonly app: AppModel
  readonly feed: LogFeed
  /** As volumes are shown: `mL` or `fl oz`. */
  readonly unit: string
  readonly timeZone: string
}

/** When an entry was, as it is being said. */
export interface When {
  /** What the field says; '' for just now. */
  readonly text: string
  readonly set: (text: string) => void
  readonly clear: () => void
  /** The instant that is said, or null for just now. A correction that leaves the minute leaves the time. */
  readonly saidMs: () => number | null
  readonly nowMs: () => number
  readonly latest: string
}

/** What the fields of each kind are given. */
export interface FieldsProps extends ShownLog {
  /** The entry that is corrected, or null for a new one. */
  readonly row: LogRow | null
  readonly when: When
  readonly send: (entry: LogSaid) => void
}

/** The machine that the page is about, or the first. */
export function firstMachine({ app, feed }: Pick<ShownLog, 'app' | 'feed'>): string {
  const { machineId } = app.log.filter.peek()
  return machineId === '' ? (feed.machines[0]?.id ?? '') : machineId
}

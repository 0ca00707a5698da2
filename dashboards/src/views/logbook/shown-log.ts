import type { LogFeed } from '../../api/log-api.ts'
import type { AppModel } from '../../models/app-model.ts'

/** What every part of the logbook is given. */
export interface ShownLog {
  readonly app: AppModel
  readonly feed: LogFeed
  /** As volumes are shown: `mL` or `fl oz`. */
  readonly unit: string
  readonly timeZone: string
}

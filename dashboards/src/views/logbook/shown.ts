import type { DisposalLog } from '../../api/work-api.ts'
import type { AppModel } from '../../models/app-model.ts'

/** What every part of the logbook is given. */
export interface Shown {
  readonly app: AppModel
  readonly log: DisposalLog
  /** As volumes are shown: `mL` or `fl oz`. */
  readonly unit: string
  readonly timeZone: string
}

import type { Settings } from '../../../../services/core/model/settings.ts'
import type { FieldError } from '../../api/answer.ts'

/** What every part of the set-up form is given. */
export interface FormPart {
  readonly settings: Settings
  readonly errors: readonly FieldError[]
  readonly readOnly: boolean
  readonly change: (edit: (settings: Settings) => Settings) => void
}

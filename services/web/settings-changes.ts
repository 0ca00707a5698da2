import { parseSettings } from '../codecs/settings-check.ts'
import type { FieldError } from '../codecs/problem-details.ts'
import type { Act } from '../core/model/act.ts'
import type { ActOutcome, Monitor } from '../core/model/ports/monitor.ts'
import type { Settings } from '../core/model/settings.ts'
import { isVersionOf } from './settings-version.ts'

export type SettingsChangeOutcome =
  | ActOutcome
  | { readonly ok: false; readonly code: 'fields'; readonly errors: readonly FieldError[] }
  /** They are not those that the change was made from. */
  | { readonly ok: false; readonly code: 'overtaken' }

/** What the settings shall be, from what they are. */
export type SettingsChange = (settings: Settings) => unknown

export interface SettingsChangeNotes {
  /** The version that the change was made from, as `If-Match` gives it; without it whatever stands is replaced. */
  readonly ifMatch?: string | undefined
  /** Why, for the record. */
  readonly why?: string | undefined
}

export interface SettingsChanges {
  /** Reads the settings, changes them, checks the whole and puts it on the log; one change after the other. */
  readonly make: (
    act: Act,
    change: SettingsChange,
    notes?: SettingsChangeNotes,
  ) => Promise<SettingsChangeOutcome>
}

/** Without the line, two changes at once would both start from the old settings, and one would be lost. */
export function createSettingsChanges(monitor: Pick<Monitor, 'settings' | 'submit'>): SettingsChanges {
  let last: Promise<unknown> = Promise.resolve()
  return {
    make: (act, change, { ifMatch, why = '' } = {}) => {
      const mine = last.then(async (): Promise<SettingsChangeOutcome> => {
        const before = monitor.settings()
        if (!isVersionOf(ifMatch, before)) return { ok: false, code: 'overtaken' }
        const checked = parseSettings(change(before))
        if (!checked.ok) return { ok: false, code: 'fields', errors: checked.errors }
        const { settings } = checked
        return monitor.submit({ type: 'settings', act, settings, ...(why.trim() === '' ? {} : { why }) })
      })
      last = mine.catch(() => undefined)
      return mine
    },
  }
}

import { parseSettings } from '../codecs/settings-check.ts'
import type { FieldError } from '../codecs/problem-details.ts'
import type { Act } from '../core/model/act.ts'
import type { ActOutcome, Monitor } from '../core/model/ports/monitor.ts'
import type { Settings } from '../core/model/settings.ts'

export type SettingsChangeOutcome =
  ActOutcome | { readonly ok: false; readonly code: 'fields'; readonly errors: readonly FieldError[] }

/** What the settings shall be, from what they are. */
export type SettingsChange = (settings: Settings) => unknown

export interface SettingsChanges {
  /** Reads the settings, changes them, checks the whole and puts it on the log; one change after the other. */
  readonly make: (act: Act, change: SettingsChange) => Promise<SettingsChangeOutcome>
}

/** Without the line, two changes at once would both start from the old settings, and one would be lost. */
export function createSettingsChanges(monitor: Pick<Monitor, 'settings' | 'submit'>): SettingsChanges {
  let last: Promise<unknown> = Promise.resolve()
  return {
    make: (act, change) => {
      const mine = last.then(async (): Promise<SettingsChangeOutcome> => {
        const checked = parseSettings(change(monitor.settings()))
        if (!checked.ok) return { ok: false, code: 'fields', errors: checked.errors }
        return monitor.submit({ type: 'settings', act, settings: checked.settings })
      })
      last = mine.catch(() => undefined)
      return mine
    },
  }
}

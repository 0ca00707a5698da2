import { Temporal } from 'temporal-polyfill'
import { settingsSchema, type Settings } from '../core/model/settings.ts'
import { fieldErrorsOf, type FieldError } from './problem-details.ts'

export type SettingsOutcome =
  | { readonly ok: true; readonly settings: Settings }
  | { readonly ok: false; readonly errors: readonly FieldError[] }

/** Checks settings from outside in full: their form, what they refer to, and that the time zone exists on this computer. */
export function parseSettings(value: unknown): SettingsOutcome {
  const parsed = settingsSchema.safeParse(value)
  if (!parsed.success) return { ok: false, errors: fieldErrorsOf(parsed.error.issues) }
  const { timeZone } = parsed.data.site
  if (!isKnownTimeZone(timeZone)) {
    return {
      ok: false,
      errors: [
        {
          pointer: '/site/timeZone',
          detail: `there is no time zone ${timeZone}: give an IANA name such as Europe/Brussels or America/Chicago`,
        },
      ],
    }
  }
  return { ok: true, settings: parsed.data }
}

/** Both must know it: the screens format with Intl, the opening hours count with Temporal. */
export function isKnownTimeZone(timeZone: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone })
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(timeZone)
    return true
  } catch (error) {
    if (error instanceof RangeError) return false
    throw error
  }
}

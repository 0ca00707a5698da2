/** The monitor's clock, in UTC ms since 1970. Never goes back, even when the computer's clock does. */
export interface Clock {
  readonly nowMs: () => number
  /** Real milliseconds that pass for `ms` of this clock: shorter when it runs fast. */
  readonly realMs: (ms: number) => number
  /** Why this clock cannot be believed now, and the cure; null while it can. */
  readonly doubt?: () => string | null
}

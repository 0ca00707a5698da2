/** One thing that `nightcap check` looked at. */
export interface Finding {
  readonly ok: boolean
  /** What is so, and the cure where it is wrong. */
  readonly text: string
}

export const fine = (text: string): Finding => ({ ok: true, text })
export const wrong = (text: string): Finding => ({ ok: false, text })

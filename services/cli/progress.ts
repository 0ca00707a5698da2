const TERMINAL_EVERY_MS = 250
const LINE_EVERY_MS = 10_000

export interface Progress {
  /** `share` of the work that is done, 0 to 1. */
  readonly at: (rows: number, share: number) => void
  readonly end: () => void
}

/** Tells how a long run goes: one line that changes on a terminal, else a line every ten seconds. */
export function createProgress(
  what: string,
  out: { isTTY?: boolean; write: (text: string) => unknown } = process.stderr,
): Progress {
  const startedMs = performance.now()
  const everyMs = out.isTTY === true ? TERMINAL_EVERY_MS : LINE_EVERY_MS
  let first: number | null = null
  let toldMs = startedMs
  return {
    at: (rows, share) => {
      const nowMs = performance.now()
      first ??= rows
      if (nowMs - toldMs < everyMs) return
      toldMs = nowMs
      const text = progressText(what, { rows, share, sinceStart: rows - first, tookMs: nowMs - startedMs })
      out.write(out.isTTY === true ? `\r\u001B[K${text}` : `${text}\n`)
    },
    end: () => void (out.isTTY === true && toldMs > startedMs && out.write('\r\u001B[K')),
  }
}

/** `3,400,000 rows, 62,000 a second, 34 %, 1 min left` */
export function progressText(
  what: string,
  run: { rows: number; share: number; sinceStart: number; tookMs: number },
): string {
  const aSecond = run.sinceStart / (run.tookMs / 1000)
  const parts = [
    `${number(run.rows)} ${what}`,
    `${number(aSecond)} a second`,
    `${Math.floor(run.share * 100)} %`,
  ]
  const leftMs = (run.tookMs / run.share) * (1 - run.share)
  if (run.share > 0.01)
    parts.push(
      `${leftMs < 60_000 ? `${Math.ceil(leftMs / 1000)} s` : `${Math.ceil(leftMs / 60_000)} min`} left`,
    )
  return parts.join(', ')
}

function number(n: number): string {
  return Math.round(n).toLocaleString('en')
}

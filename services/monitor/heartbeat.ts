import type { HttpPost, PostOutcome } from '../core/model/ports/notify.ts'

/** The wait after the first failure; it doubles up to the usual interval. */
const FIRST_RETRY_MS = 30_000
/** The clock of the book of record may be this far behind: it says that it is alive every 20 s. */
const ALIVE_WITHIN_MS = 90_000

export interface HeartbeatConfig {
  readonly url: string
  readonly method: 'GET' | 'POST'
  readonly everyMs: number
  /** May it go to a private or loopback address? */
  readonly allowPrivate: boolean
}

export interface HeartbeatParts {
  readonly config: HeartbeatConfig
  readonly post: HttpPost
  /** Is the monitor well enough to be vouched for? */
  readonly isWell: () => boolean
  /** When the book of record last took anything, in the monitor's time. */
  readonly lastAliveMs: () => number | null
  readonly nowMs: () => number
  readonly log: {
    readonly warn: (context: object, text: string) => void
    readonly info: (context: object, text: string) => void
  }
}

export interface Heartbeat {
  /** Sends a sign of life when one is due; called again and again by a timer. Never rejects. */
  readonly beat: () => Promise<void>
  /** Why no sign of life gets through, with the cure; null while they do. */
  readonly problem: () => string | null
}

/**
 * Tells a place outside, again and again, that the monitor lives: somebody there misses it when it is dead.
 *
 * BEAT-1 one request each interval, and only while the monitor is truly well: commits go through and the last is young,
 *        the clock can be believed, the disk has room. Anything else is silence, so that silence has one meaning.
 * BEAT-2 a failure is tried again after half a minute, then after twice as long each time up to the interval; it is
 *        logged when it begins and when it is over, and not in between.
 * BEAT-3 any answer of 200 to 299 counts; what it says is not read. The address never stands in a log or a problem: it
 *        is a secret.
 */
export function createHeartbeat({
  config,
  post,
  isWell,
  lastAliveMs,
  nowMs,
  log,
}: HeartbeatParts): Heartbeat {
  let dueMs = -Infinity
  let failures = 0
  let problem: string | null = null

  const isAlive = (): boolean => {
    const alive = lastAliveMs()
    return isWell() && alive !== null && nowMs() - alive <= ALIVE_WITHIN_MS
  }
  const failed = (reason: string): void => {
    if (problem === null) log.warn({ reason }, 'the sign of life did not get through; it is tried again')
    problem = `the sign of life does not get through (${reason}): look at the internet connection and at NIGHTCAP_HEARTBEAT_URL`
    dueMs = performance.now() + Math.min(FIRST_RETRY_MS * 2 ** failures++, config.everyMs)
  }
  return {
    beat: async () => {
      if (performance.now() < dueMs || !isAlive()) return
      const { url, method, everyMs, allowPrivate } = config
      dueMs = performance.now() + everyMs
      const outcome = await post({ method, url, headers: {}, body: '', allowPrivate })
      const reason = whyNot(outcome)
      if (reason !== null) return failed(reason)
      if (problem !== null) log.info({}, 'the sign of life gets through again')
      problem = null
      failures = 0
    },
    problem: () => problem,
  }
}

function whyNot(outcome: PostOutcome): string | null {
  if (outcome.kind !== 'answered') return outcome.reason
  return outcome.status >= 200 && outcome.status < 300 ? null : `it answered ${outcome.status}`
}

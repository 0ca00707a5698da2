/** What was said while there was no line: which words may wait, how long, and in what order they go. Pure. */

/** One thing said, as it is sent. */
export interface Said {
  /** Its own key (Idempotency-Key): sent again, it is done once. */
  readonly key: string
  readonly path: string
  /** null for none. */
  readonly body: unknown
}

export interface Unsent extends Said {
  readonly personId: string
  /** When it was said, in ms since 1970 by this device. */
  readonly saidMs: number
  /** What it says, for the list. */
  readonly label: string
  /** Why the monitor did not take it, as a sentence with the cure; null while it was not refused. */
  readonly refusal: string | null
}

/** Where what waits is kept when the page is closed. */
export interface UnsentStore {
  /** In the order they were said. */
  readonly all: () => Promise<readonly Unsent[]>
  readonly put: (entry: Unsent) => Promise<void>
  readonly remove: (key: string) => Promise<void>
}

const MINUTE_MS = 60_000

/** How long a thing said may wait and still be sent without asking again. Starting values. */
const LOGGABLE: readonly { readonly path: RegExp; readonly sentWithinMs: number }[] = [
  // The monitor counts these from when they arrive: told late, a head would look wetted later than it was.
  { path: /^\/machines\/[^/]+\/(care|cap|servicing|error-stop)$/, sentWithinMs: 30 * MINUTE_MS },
  { path: /^\/cleanings$/, sentWithinMs: 30 * MINUTE_MS },
  // These say themselves when it was.
  { path: /^\/(nozzle-checks|log-notes|head-changes)$/, sentWithinMs: 12 * 60 * MINUTE_MS },
  { path: /^\/alarms\/[^/]+\/acknowledgement$/, sentWithinMs: 12 * 60 * MINUTE_MS },
  { path: /^\/tasks\/[^/]+\/sign-off$/, sentWithinMs: 12 * 60 * MINUTE_MS },
  { path: /^\/symptoms$/, sentWithinMs: 12 * 60 * MINUTE_MS },
  // A tick is of one evening: said the next morning it would stand in another list.
  { path: /^\/closing\/steps\/[^/]+$/, sentWithinMs: 2 * 60 * MINUTE_MS },
  // An entry says itself when the waste left.
  { path: /^\/disposals$/, sentWithinMs: 7 * 24 * 60 * MINUTE_MS },
]
const V1 = '/api/v1'

/** UNSENT-1 may this wait on the device? Only what people log; nothing that sets up, and nothing with a secret. */
export function isLoggable(path: string): boolean {
  return kindOf(path) !== undefined
}

/** UNSENT-2 it has waited so long that a person has to say whether it still holds. */
export function asksAgain({ path, saidMs }: Pick<Unsent, 'path' | 'saidMs'>, nowMs: number): boolean {
  return nowMs - saidMs > (kindOf(path)?.sentWithinMs ?? 0)
}

/** UNSENT-3 what goes next, in the order it was said: nothing refused, nothing that first asks again. */
export function nextToSend(entries: readonly Unsent[], nowMs: number): Unsent | null {
  return entries.find((e) => e.refusal === null && !asksAgain(e, nowMs)) ?? null
}

/**
 * UNSENT-4 the same thing said twice while it waits is one thing. Only the last words about a thing count: done, taken
 * back, and done again are three.
 */
export function isSaidAlready(
  entries: readonly Unsent[],
  { path, body }: Pick<Said, 'path' | 'body'>,
): boolean {
  const last = entries.filter((e) => e.refusal === null && e.path === path).at(-1)
  return last !== undefined && JSON.stringify(last.body) === JSON.stringify(body)
}

/** UNSENT-7 what was last said of a closing step and waits: true done, false taken back, null nothing. */
export function waitingTick(
  entries: readonly Unsent[],
  { id, machineId }: { readonly id: string; readonly machineId: string | null },
): boolean | null {
  const path = `${V1}/closing/steps/${encodeURIComponent(id)}`
  const bodies = entries.filter((e) => e.refusal === null && e.path === path).map((e) => e.body)
  const ticks = bodies as readonly { readonly machineId: string | null; readonly done: boolean }[]
  return ticks.filter((tick) => tick.machineId === machineId).at(-1)?.done ?? null
}

/** UNSENT-5 what an answer of the monitor means for what waits. */
export function fateOf(status: number): 'sent' | 'refused' | 'later' {
  if (status >= 200 && status < 300) return 'sent'
  // Nobody there, signed out, told to wait, or broken inside: the words stay, and go again with the same key.
  return status === 0 || status === 401 || status === 429 || status >= 500 ? 'later' : 'refused'
}

function kindOf(path: string): (typeof LOGGABLE)[number] | undefined {
  if (!path.startsWith(V1)) return undefined
  return LOGGABLE.find((kind) => kind.path.test(path.slice(V1.length)))
}

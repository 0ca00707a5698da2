/** What a device keeps of the shop for when it cannot be reached. Pure: the worker and the pages both use it. */

/** Name of the store of answers in the browser. */
export const ANSWERS_CACHE = 'nightcap-answers'
/** Name before the hash of a build: the store of the board's own files. */
export const SHELL_CACHE = 'nightcap-shell-'
/** Stands on an answer that is not of now: when it was heard, in ms since 1970 by this device. */
export const HEARD_HEADER = 'x-nightcap-heard'

/** KEEP-1 what a person needs to see of the shop. None of them ever holds a secret. */
const KEPT = ['/session', '/board', '/tasks', '/closing', '/morning'].map((path) => `/api/v1${path}`)

/** KEEP-1 is the answer to this path kept on the device? */
export function isKeptPath(pathname: string): boolean {
  return KEPT.includes(pathname)
}

/** KEEP-2 signing in or out: what is kept was for someone else from here on. */
export function changesWhoIsIn(method: string, pathname: string): boolean {
  return method !== 'GET' && /^\/api\/v1\/sessions?(\/|$)/.test(pathname)
}

/** KEEP-3 nobody behind the door answered: a proxy says so with these, and the last known state is shown instead. */
export function meansUnreachable(status: number): boolean {
  return status === 502 || status === 504
}

/** When an answer was heard that is not of now; null for one that is. */
export function heardMsOf(headers: { get: (name: string) => string | null }): number | null {
  const text = headers.get(HEARD_HEADER)
  const ms = text === null ? Number.NaN : Number(text)
  return Number.isFinite(ms) ? ms : null
}

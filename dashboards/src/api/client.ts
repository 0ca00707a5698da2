import { heardMsOf, meansUnreachable } from '../phone/kept-answers.ts'
import { isLoggable, type Said } from '../phone/unsent.ts'
import { KEPT, toFailure, UNREACHABLE, type Answer } from './answer.ts'

/** The part of `fetch` that the client uses. */
export type Fetch = (
  path: string,
  init: {
    method: string
    headers: Record<string, string>
    body?: string
    credentials: 'same-origin'
    signal?: AbortSignal
  },
) => Promise<{
  ok: boolean
  status: number
  headers: { get: (name: string) => string | null }
  text: () => Promise<string>
}>

export interface Asking {
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE'
  readonly path: string
  /** Sent as JSON; a text with `yaml` set goes out as it is. */
  readonly body?: unknown
  readonly yaml?: boolean
  /** One for each thing said, the same when it is sent again: the server does it once. */
  readonly key?: string
  /** Gives up on the answer: nobody waits for it any more, and that is no news about the line. */
  readonly signal?: AbortSignal
  /** The version that a change was made from: it is refused where somebody else was first (RFC 9110, If-Match). */
  readonly ifMatch?: string | undefined
}

export interface Client {
  /** Asks the server. Never throws: a dead line and a refusal are answers too. */
  readonly ask: <T>(asking: Asking) => Promise<Answer<T>>
}

export interface ClientParts {
  readonly fetch: Fetch
  /** Called when the session is over, so that the sign-in page can come up. */
  readonly onSignedOut: () => void
  readonly onUnreachable: () => void
  /** Makes a key for a thing that is said. */
  readonly newKey: () => string
  /** Keeps what could not be sent; false where this device can keep nothing. */
  readonly keep: (said: Said) => Promise<boolean>
}

export function createClient(parts: ClientParts): Client {
  const { fetch, onSignedOut, onUnreachable } = parts
  return {
    ask: async <T>(given: Asking): Promise<Answer<T>> => {
      const isSaid = given.key === undefined && given.method === 'POST' && isLoggable(given.path)
      const asking = isSaid ? { ...given, key: parts.newKey() } : given
      const answer = await tryOnce<T>(fetch, asking)
      if (answer.ok) return answer
      if (answer.failure.kind === 'unreachable' && given.signal?.aborted !== true) onUnreachable()
      // A wrong password is a 401 too, and no news about the session.
      if (answer.failure.kind === 'signedOut' && !asking.path.startsWith('/api/v1/session')) onSignedOut()
      const isKept =
        isSaid &&
        answer.failure.kind === 'unreachable' &&
        (await parts.keep({ key: asking.key ?? '', path: asking.path, body: asking.body ?? null }))
      return isKept ? { ok: false, failure: KEPT } : answer
    },
  }
}

async function tryOnce<T>(
  fetch: Fetch,
  { method, path, body, yaml, key, ifMatch, signal }: Asking,
): Promise<Answer<T>> {
  const type = yaml ? 'application/yaml' : 'application/json'
  const headers: Record<string, string> = { accept: type }
  if (body !== undefined) headers['content-type'] = type
  if (key !== undefined) headers['idempotency-key'] = key
  if (ifMatch !== undefined) headers['if-match'] = ifMatch
  try {
    const response = await fetch(path, {
      method,
      headers,
      credentials: 'same-origin',
      ...(signal && { signal }),
      ...(body === undefined ? {} : { body: typeof body === 'string' && yaml ? body : JSON.stringify(body) }),
    })
    const text = await response.text()
    if (meansUnreachable(response.status)) return { ok: false, failure: UNREACHABLE }
    if (!response.ok) return { ok: false, failure: toFailure(response.status, parsedOrText(text)) }
    const value = (yaml && method === 'GET' ? text : parsedOrText(text)) as T
    const heardMs = heardMsOf(response.headers)
    const version = response.headers.get('etag')
    const lastEventId = response.headers.get('last-event-id')
    return {
      ok: true,
      value,
      ...(heardMs === null ? {} : { heardMs }),
      ...(version === null ? {} : { version }),
      ...(lastEventId === null ? {} : { lastEventId }),
    }
  } catch {
    return { ok: false, failure: UNREACHABLE }
  }
}

function parsedOrText(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return text
  }
}

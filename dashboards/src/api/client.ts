import { toFailure, UNREACHABLE, type Answer } from './answer.ts'

/** The part of `fetch` that the client uses. */
export type Fetch = (
  path: string,
  init: { method: string; headers: Record<string, string>; body?: string; credentials: 'same-origin' },
) => Promise<{ ok: boolean; status: number; text: () => Promise<string> }>

export interface Asking {
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE'
  readonly path: string
  /** Sent as JSON; a text with `yaml` set goes out as it is. */
  readonly body?: unknown
  readonly yaml?: boolean
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
}

export function createClient({ fetch, onSignedOut, onUnreachable }: ClientParts): Client {
  return {
    ask: async <T>(asking: Asking): Promise<Answer<T>> => {
      const answer = await tryOnce<T>(fetch, asking)
      if (answer.ok) return answer
      if (answer.failure.kind === 'unreachable') onUnreachable()
      // A wrong password is a 401 too, and no news about the session.
      if (answer.failure.kind === 'signedOut' && !asking.path.startsWith('/api/v1/session')) onSignedOut()
      return answer
    },
  }
}

async function tryOnce<T>(fetch: Fetch, { method, path, body, yaml }: Asking): Promise<Answer<T>> {
  const type = yaml ? 'application/yaml' : 'application/json'
  const headers: Record<string, string> = { accept: type }
  if (body !== undefined) headers['content-type'] = type
  try {
    const response = await fetch(path, {
      method,
      headers,
      credentials: 'same-origin',
      ...(body === undefined ? {} : { body: typeof body === 'string' && yaml ? body : JSON.stringify(body) }),
    })
    const text = await response.text()
    if (!response.ok) return { ok: false, failure: toFailure(response.status, parsedOrText(text)) }
    return { ok: true, value: (yaml && method === 'GET' ? text : parsedOrText(text)) as T }
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

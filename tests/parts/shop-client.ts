import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { Task } from '../../services/core/model/task.ts'
import type { BoardView, SensorsView } from '../../services/core/model/views.ts'

const OWNER = { name: 'Ana', password: 'a long enough password' }

/** A signed-in owner at a monitor's HTTP interface. */
export interface ShopClient {
  /** Of its session, for a request made another way. */
  readonly cookie: string
  readonly request: (method: string, path: string, body?: unknown) => Promise<Response>
  readonly putSettings: (settings: Settings) => Promise<void>
  /** Makes a secret for a node. */
  readonly addNode: (id: string) => Promise<string>
  readonly board: () => Promise<BoardView>
  readonly alarms: () => Promise<readonly Alarm[]>
  readonly tasks: (state: 'open' | 'closed') => Promise<readonly Task[]>
  readonly sensors: () => Promise<SensorsView>
}

/** Becomes the first owner with the code, or signs in where there is one. */
export async function signIn(url: string, firstOwnerCode: string | null): Promise<ShopClient> {
  const headers = { origin: new URL(url).origin, 'content-type': 'application/json' }
  const path = firstOwnerCode ? '/api/v1/session/first-owner' : '/api/v1/session'
  const body = JSON.stringify(firstOwnerCode ? { code: firstOwnerCode, ...OWNER } : OWNER)
  const answer = await fetch(url + path, { method: 'POST', headers, body })
  if (!answer.ok) throw new Error(`sign-in answered ${answer.status}: ${await answer.text()}`)
  const cookie = (answer.headers.get('set-cookie') ?? '').split(';')[0] ?? ''

  const request: ShopClient['request'] = (method, at, json) =>
    fetch(url + at, {
      method,
      headers: json === undefined ? { origin: headers.origin, cookie } : { ...headers, cookie },
      ...(json === undefined ? {} : { body: JSON.stringify(json) }),
    })
  const get = async <T>(at: string): Promise<T> => {
    const got = await request('GET', at)
    if (!got.ok) throw new Error(`GET ${at} answered ${got.status}: ${await got.text()}`)
    return (await got.json()) as T
  }
  const send = async (method: string, at: string, json: unknown): Promise<Response> => {
    const got = await request(method, at, json)
    if (!got.ok) throw new Error(`${method} ${at} answered ${got.status}: ${await got.text()}`)
    return got
  }
  return {
    cookie,
    request,
    putSettings: async (settings) => void (await send('PUT', '/api/v1/settings', settings)),
    addNode: async (id) => {
      const made = (await (await send('POST', `/api/v1/nodes/${id}/secret`, {})).json()) as { secret: string }
      return made.secret
    },
    board: () => get('/api/v1/board'),
    alarms: async () => (await get<{ alarms: Alarm[] }>('/api/v1/alarms')).alarms,
    tasks: async (state) => (await get<{ tasks: Task[] }>(`/api/v1/tasks?state=${state}`)).tasks,
    sensors: () => get('/api/v1/sensors'),
  }
}

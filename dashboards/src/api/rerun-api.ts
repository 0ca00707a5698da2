import type { LimitChoice, RerunOrder, RerunView } from '../../../services/core/model/rerun.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

/** Calls about the stored past under other limits. */
export interface RerunApi {
  readonly limits: () => Promise<Answer<{ limits: LimitChoice[] }>>
  readonly newest: () => Promise<Answer<{ rerun: RerunView | null }>>
  readonly start: (order: RerunOrder) => Promise<Answer<{ id: string }>>
  readonly look: (id: string) => Promise<Answer<RerunView>>
  readonly stop: (id: string) => Promise<Answer<unknown>>
  readonly use: (id: string, value: number) => Promise<Answer<unknown>>
}

const BASE = '/api/v1/reruns'

export function createRerunApi({ ask }: Client): RerunApi {
  return {
    limits: () => ask({ method: 'GET', path: `${BASE}/limits` }),
    newest: () => ask({ method: 'GET', path: `${BASE}/newest` }),
    start: (body) => ask({ method: 'POST', path: BASE, body }),
    look: (id) => ask({ method: 'GET', path: `${BASE}/${encodeURIComponent(id)}` }),
    stop: (id) => ask({ method: 'DELETE', path: `${BASE}/${encodeURIComponent(id)}` }),
    use: (id, value) =>
      ask({ method: 'POST', path: `${BASE}/${encodeURIComponent(id)}/use`, body: { value } }),
  }
}

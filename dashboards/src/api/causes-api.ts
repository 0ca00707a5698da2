import type { CausesQuestion, CausesStatus } from '../../../services/core/model/causes-view.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

export const NIGHTS_CSV = '/api/v1/causes/nights.csv'

/** Calls about Causes. */
export interface CausesApi {
  readonly causes: (question: CausesQuestion) => Promise<Answer<CausesStatus>>
  readonly computeCauses: (question: CausesQuestion) => Promise<Answer<CausesStatus>>
  readonly dropCauses: () => Promise<Answer<unknown>>
}

export function createCausesApi({ ask }: Client): CausesApi {
  return {
    causes: (question) =>
      ask({ method: 'GET', path: `/api/v1/causes?${new URLSearchParams(given(question)).toString()}` }),
    computeCauses: (question) =>
      ask({ method: 'POST', path: '/api/v1/causes/computations', body: given(question) }),
    dropCauses: () => ask({ method: 'DELETE', path: '/api/v1/causes/computations' }),
  }
}

function given({ from, to, machineId }: CausesQuestion): Record<string, string> {
  return { ...(from && { from }), ...(to && { to }), ...(machineId && { machineId }) }
}

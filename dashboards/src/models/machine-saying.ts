import type { Answer } from '../api/answer.ts'
import type { ShopApi } from '../api/shop-api.ts'
import type { MachineAct } from '../words/act-words.ts'

export type SayingApi = Pick<
  ShopApi,
  'logCare' | 'sayServicing' | 'sayCap' | 'sayErrorStop' | 'planQuiet' | 'endQuiet'
>

/** Sends what a person says about a machine to where the monitor takes it. `nowMs` is the shop's clock. */
export function sayTo(
  api: SayingApi,
  { machineId, act, nowMs }: { machineId: string; act: MachineAct; nowMs: number },
): Promise<Answer<unknown>> {
  switch (act.kind) {
    case 'care':
      return api.logCare(machineId, { care: act.care, channelGroupIds: [] })
    case 'servicing':
      return api.sayServicing(machineId, act.servicing)
    case 'cap':
      return api.sayCap(machineId, act.capped)
    case 'errorStop':
      return api.sayErrorStop(machineId, act.stopped)
    case 'outOfService':
      return api.planQuiet({ kind: 'outOfService', machineId, fromMs: nowMs, toMs: null, note: '' })
    case 'inService':
      return api.endQuiet(act.quietId)
  }
}

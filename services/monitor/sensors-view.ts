import { titleOf } from '../core/alarms/alarm-reason.ts'
import { missingPacks } from '../core/kernel/node-packs.ts'
import type { KernelState } from '../core/kernel/state.ts'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { HeardSensor, RecordsReader } from '../core/model/ports/records.ts'
import { UNIT_OF_QUANTITY } from '../core/model/quantity.ts'
import type { SensorsView } from '../core/model/views.ts'

const QUARANTINE_SHOWN = 200

export interface SensorsSources {
  readonly reader: RecordsReader
  readonly accounts: Pick<AccountStore, 'credentials'>
  readonly state: KernelState
}

/** Every sensor that is assigned or was heard, every node, and what could not be used. */
export function sensorsView({ reader, accounts, state }: SensorsSources): SensorsView {
  const heard = new Map(reader.heardSensors().map((h) => [h.sensorId, h]))
  const ids = [...new Set([...state.plan.bindings.keys(), ...heard.keys()])].sort()
  return {
    sensors: ids.flatMap((id) => sensorOf(id, heard.get(id), state) ?? []),
    nodes: nodesOf(state, accounts),
    quarantine: reader.quarantine(QUARANTINE_SHOWN).map((entry) => ({ ...entry })),
    counts: reader.counts(),
  }
}

function sensorOf(
  id: string,
  heard: HeardSensor | undefined,
  state: KernelState,
): SensorsView['sensors'][number] | null {
  const binding = state.plan.bindings.get(id)
  const quantity = binding?.quantity ?? heard?.quantity
  if (!quantity) return null
  return {
    id,
    title: binding?.title ?? null,
    quantity,
    unit: UNIT_OF_QUANTITY[quantity],
    assignedTo: binding ? { ...binding.subject, title: titleOf(binding.subject, state.settings) } : null,
    lastValue: heard?.value ?? null,
    lastAtMs: heard?.atMs ?? null,
    silent: state.sensors.get(id)?.open ?? false,
    readings: heard?.readings ?? 0,
  }
}

function nodesOf(state: KernelState, accounts: Pick<AccountStore, 'credentials'>): SensorsView['nodes'] {
  const secrets = new Set(
    accounts
      .credentials('node')
      .filter((c) => c.revokedMs === null)
      .map((c) => c.id),
  )
  const titles = new Map(state.settings.nodes.map((n) => [n.id, n.title ?? null]))
  const ids = [...new Set([...titles.keys(), ...state.nodes.keys(), ...secrets])].sort()
  return ids.map((id) => {
    const node = state.nodes.get(id)
    return {
      id,
      title: titles.get(id) ?? null,
      online: node?.online ?? null,
      lastReceivedMs: node?.lastReceivedMs ?? null,
      missingPacks: node ? missingPacks(node) + node.lostPacks : 0,
      droppedPacks: node?.droppedPacks ?? 0,
      hasSecret: secrets.has(id),
    }
  })
}

import type { InputBody, Reading } from '../../services/core/model/input.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'
import { testSettings } from '../parts/shop-settings.ts'

const NODES = 25
const MINUTES = 12
const READINGS = NODES * MINUTES * 60
/** Between one node's reading and the next. */
const APART_MS = 1000 / NODES
/** So far do readings overtake each other on their way: about every third comes late. */
const JITTER_MS = 3 * APART_MS

function room() {
  const base = testSettings()
  return testSettings({
    nodes: Array.from({ length: NODES }, (_, i) => ({ id: `node-${i}` })),
    sensors: Array.from({ length: NODES }, (_, i) => ({
      id: `node-${i}/humidity`,
      quantity: 'humidity',
      subject: { kind: 'room', id: base.machines[0]?.room ?? 'floor' },
      intervalMs: 1000,
    })),
    bottles: [],
  })
}

/** A room of many nodes that each send once a second, in the order of measuring or as they overtake each other. */
function inputs(jitterMs: number): { readonly inputs: readonly InputBody[]; readonly late: number } {
  const startMs = Date.UTC(2026, 0, 5)
  const act = { actorId: 'owner', via: 'program' as const, atMs: startMs }
  const all = Array.from({ length: READINGS }, (_, i) => {
    const atMs = startMs + Math.round((i + 1) * APART_MS)
    const onItsWayMs = ((i * 7919) % 101) * (jitterMs / 101)
    return { i, atMs, receivedMs: atMs + onItsWayMs }
  }).sort((a, b) => a.receivedMs - b.receivedMs)
  let late = 0
  let throughMs = -Infinity
  const bodies = all.map(({ i, atMs, receivedMs }): InputBody => {
    if (atMs < throughMs) late++
    throughMs = Math.max(throughMs, atMs)
    const nodeId = `node-${i % NODES}`
    const value = 45 + Math.sin(i / 1000) + ((i * 7) % 11) / 50
    const reading: Reading = { sensorId: `${nodeId}/humidity`, quantity: 'humidity', atMs, value }
    return { type: 'readings', atMs, receivedMs, nodeId, readings: [reading] }
  })
  const stamp = { atMs: startMs, receivedMs: startMs }
  return { inputs: [{ type: 'settings', ...stamp, act, settings: room() }, ...bodies], late }
}

function rate(told: readonly InputBody[]): number {
  const book = createMemoryBookOfRecord()
  const keeper = createKernelKeeper(book)
  const began = performance.now()
  for (const input of told) {
    if (input.type === 'readings') book.sortReadings(input.readings)
    keeper.take(input)
  }
  return (READINGS / (performance.now() - began)) * 1000
}

/** A room whose nodes overtake each other, against the same readings in the order of measuring. */
export function lateBench() {
  const overtaking = inputs(JITTER_MS)
  const anchor = rate(inputs(0).inputs)
  const ours = rate(overtaking.inputs)
  const sharePct = Math.round((100 * overtaking.late) / READINGS)
  return [
    {
      what: `a room of ${NODES} nodes at one reading a second, ${sharePct} % of them late, against the same in order`,
      ours,
      anchor,
      unit: 'readings/s',
      aim: null,
    },
  ]
}

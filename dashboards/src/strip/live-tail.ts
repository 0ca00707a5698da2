import type { Quantity } from '../../../services/core/model/quantity.ts'
import type { SensorBinding } from '../../../services/core/model/settings.ts'
import type { BoardView, MachineView } from '../../../services/core/model/views.ts'

/** A reading as the stream of events brings it. */
export interface LiveReading {
  readonly sensorId: string
  readonly quantity: Quantity
  readonly atMs: number
  readonly value: number
}

/** What a sensor belongs to; machines name their room so that its air reaches their strip. */
export interface LiveBindings {
  readonly sensors: readonly Pick<SensorBinding, 'id' | 'quantity' | 'subject'>[]
  readonly roomOfMachine: ReadonlyMap<string, string>
}

type BoundReading = LiveReading & Pick<SensorBinding, 'subject'>

/**
 * The board with new readings at the tail of its strips and in its rooms. Only air and a plain power contact are
 * taken over as they are; what has to be worked out (the bottle's fill, power from watts, dew point) waits for the
 * board that the monitor sends each minute, since the rules for it live there.
 */
export function withLatest(
  board: BoardView,
  readings: readonly LiveReading[],
  bindings: LiveBindings,
): BoardView {
  const newestMs = readings.reduce((ms, r) => Math.max(ms, r.atMs), board.lastReadingMs ?? -Infinity)
  const bound = readings.flatMap((reading) => {
    const sensor = bindings.sensors.find((s) => s.id === reading.sensorId && s.quantity === reading.quantity)
    return sensor ? [{ ...reading, subject: sensor.subject }] : []
  })
  const next = bound.reduce((b, reading) => withReading(b, reading, bindings), board)
  return { ...next, lastReadingMs: Number.isFinite(newestMs) ? newestMs : null }
}

/** The same board at a later time: the line of now moves on and the oldest film leaves on the left. */
export function atTime(board: BoardView, nowMs: number): BoardView {
  if (nowMs <= board.nowMs) return board
  const last = board.closedSpans.at(-1)
  const isClosed = !board.site.open && last?.toMs === board.nowMs
  const toMs = Math.min(nowMs, board.site.nextChangeMs ?? nowMs)
  return {
    ...board,
    nowMs,
    fromMs: board.fromMs + (nowMs - board.nowMs),
    closedSpans: isClosed ? [...board.closedSpans.slice(0, -1), { ...last, toMs }] : board.closedSpans,
  }
}

function withReading(board: BoardView, reading: BoundReading, bindings: LiveBindings): BoardView {
  const { subject } = reading
  return {
    ...board,
    rooms: board.rooms.map((room) =>
      subject.kind === 'room' && room.id === subject.id ? roomWith(room, reading) : room,
    ),
    machines: board.machines.map((machine) => machineWith(machine, reading, bindings)),
  }
}

function roomWith(room: BoardView['rooms'][number], { quantity, value }: LiveReading): typeof room {
  if (quantity === 'humidity') return { ...room, humidityPct: value }
  return quantity === 'temperature' ? { ...room, temperatureC: value } : room
}

function machineWith(
  machine: MachineView,
  { subject, quantity, atMs, value }: BoundReading,
  { roomOfMachine }: LiveBindings,
): MachineView {
  if (quantity === 'humidity' && subject.kind === 'room' && roomOfMachine.get(machine.id) === subject.id) {
    const { humidity } = machine
    return { ...machine, humidity: { ...humidity, nowPct: value, runs: appended(humidity, atMs, value) } }
  }
  // With a meter the states are told from its bands: a contact beside it says less.
  const isContact = quantity === 'powered' && machine.power.bandsFrom === null
  if (isContact && subject.kind === 'machine' && subject.id === machine.id) {
    return { ...machine, power: powerWith(machine.power, value === 0 ? 'off' : 'on', atMs) }
  }
  return machine
}

/** A silence before the reading stays a gap: then it begins a run of its own. */
function appended(
  { nowPct, runs }: MachineView['humidity'],
  atMs: number,
  value: number,
): [number, number][][] {
  const last = runs.at(-1)
  const end = last?.at(-1)
  if (end && atMs <= end[0]) return runs
  if (!last || nowPct === null) return [...runs, [[atMs, value]]]
  return [...runs.slice(0, -1), [...last, [atMs, value]]]
}

function powerWith(power: MachineView['power'], state: 'on' | 'off', atMs: number): MachineView['power'] {
  const last = power.spans.at(-1)
  const fresh = { fromMs: atMs, toMs: atMs, state }
  if (!last || power.now === 'unknown') return { ...power, now: state, spans: [...power.spans, fresh] }
  if (atMs <= last.toMs && state === last.state) return { ...power, now: state }
  const spans = [...power.spans.slice(0, -1), { ...last, toMs: Math.max(last.toMs, atMs) }]
  return { ...power, now: state, spans: state === last.state ? spans : [...spans, fresh] }
}

import type { ResolvedRecord } from '../../codecs/senml.ts'
import { normaliseUnit } from '../../codecs/senml-units.ts'
import type { Reading } from '../../core/model/input.ts'
import { POSSIBLE_RANGE, type Quantity, UNIT_OF_QUANTITY } from '../../core/model/quantity.ts'
import type { RejectionCode } from '../../core/model/rejection.ts'
import { shown } from './reject.ts'

export interface Refusal {
  readonly code: RejectionCode
  readonly reason: string
  readonly aheadMs?: number
}

/** Before 2020 no Nightcap was there: such a time comes from a clock that was never set. */
export const EARLIEST_MS = Date.UTC(2020, 0, 1)
/** A reading further ahead of the monitor's clock than this is not believed. */
export const MAX_AHEAD_MS = 120_000

const QUANTITY_OF_UNIT: ReadonlyMap<string, Quantity> = new Map(
  (Object.entries(UNIT_OF_QUANTITY) as [Quantity, string][])
    .filter(([quantity]) => quantity !== 'powered')
    .map(([q, unit]) => [unit, q]),
)
const UNITS = [...QUANTITY_OF_UNIT.keys()].join(', ')

/** A record of a node's pack as a reading, or why it is none. */
export function toNodeReading(
  record: ResolvedRecord,
  { nodeId, receivedMs }: { nodeId: string; receivedMs: number },
): Reading | Refusal {
  const { name, atMs } = record
  const wrongName = whyNotSensorOf(name, nodeId)
  if (wrongName !== null) return { code: 'recordNameWrong', reason: wrongName }
  const wrongTime = whyNotTime(name, atMs, receivedMs)
  if (wrongTime) return wrongTime
  const measured = toMeasured(record)
  return 'code' in measured
    ? measured
    : { sensorId: name, quantity: measured.quantity, atMs, value: measured.value }
}

const SENSOR = /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/

function whyNotSensorOf(name: string, nodeId: string): string | null {
  if (!name.startsWith(`${nodeId}/`))
    return `n is ${shown(name)}, but this node sends under ${nodeId}/ only: set bn to ${nodeId}/`
  if (SENSOR.test(name.slice(nodeId.length + 1))) return null
  return `n is ${shown(name)}, but after ${nodeId}/ comes one name of 1 to 64 letters, digits, - _ and .: rename the sensor`
}

function whyNotTime(name: string, atMs: number, receivedMs: number): Refusal | null {
  if (atMs < EARLIEST_MS) {
    return {
      code: 'clockBehind',
      reason: `t of ${name} is before 2020: set the node's clock, or send no time for a reading of now`,
    }
  }
  if (atMs - receivedMs <= MAX_AHEAD_MS) return null
  const aheadS = Math.round((atMs - receivedMs) / 1000)
  return {
    code: 'clockAhead',
    reason: `t of ${name} is ${aheadS} s ahead of the monitor's clock: set the node's clock`,
    aheadMs: atMs - receivedMs,
  }
}

function toMeasured({ name, unit, value }: ResolvedRecord): { quantity: Quantity; value: number } | Refusal {
  if (value.kind === 'boolean') return { quantity: 'powered', value: Number(value.v) }
  if (value.kind !== 'number') {
    return { code: 'valueWrong', reason: `${name} has no number and no true or false: send v or vb` }
  }
  if (unit === undefined)
    return { code: 'unitWrong', reason: `${name} has no unit: give u, one of ${UNITS}, or / with 0 or 1` }
  if (unit === '%') {
    return {
      code: 'unitWrong',
      reason: `u of ${name} is %, which in SenML is a ratio of 0 to 1: for relative humidity give %RH`,
    }
  }
  const measure = normaliseUnit({ value: value.v, unit })
  const quantity = unit === '/' ? 'powered' : QUANTITY_OF_UNIT.get(measure.unit)
  if (quantity === undefined) {
    return {
      code: 'unitWrong',
      reason: `u of ${name} is ${shown(unit)}, which no sensor here has: give one of ${UNITS}, or / with 0 or 1`,
    }
  }
  return checkedValue(name, quantity, measure.value)
}

/** The value if it can be a measurement of the quantity. Written so that NaN and infinities fail. */
export function checkedValue(
  name: string,
  quantity: Quantity,
  value: number,
): { quantity: Quantity; value: number } | Refusal {
  const [least, most] = POSSIBLE_RANGE[quantity]
  const isContact = quantity === 'powered'
  if (isContact ? value === 0 || value === 1 : value >= least && value <= most)
    return { quantity, value: value + 0 }
  if (isContact)
    return {
      code: 'valueWrong',
      reason: `${name} is ${shown(value)}, but a contact is true or false, or 1 or 0: check the unit`,
    }
  const unit = UNIT_OF_QUANTITY[quantity]
  const reason = `${name} is ${shown(value)} ${unit}, but only ${least} to ${most} ${unit} is possible: check the sensor, its unit and scale`
  return { code: 'valueWrong', reason }
}

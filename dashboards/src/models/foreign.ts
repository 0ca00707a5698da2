import type { Quantity } from '../../../services/core/model/quantity.ts'
import type { SensorBinding } from '../../../services/core/model/settings.ts'
import type { SensorsView } from '../../../services/core/model/views.ts'
import { nameFromTitle } from './name-from-title.ts'

/** A value in a message, and where it stands (JSON Pointer, RFC 6901). */
export interface Found {
  readonly pointer: string
  readonly value: number | boolean | string
}

const MOST_FOUND = 60
const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i
const SWITCHED = ['on', 'off', 'true', 'false']

/**
 * All that could be a reading in the text of a message, in its order; a plain number stands at the empty pointer.
 *
 * FOREIGN-1 each pointer that is given leads to that very value.
 * FOREIGN-2 a text that is no JSON and no number holds nothing; nothing is thrown.
 */
export function valuesIn(text: string): readonly Found[] {
  return valuesOf(parsed(text), '').slice(0, MOST_FOUND)
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return text.trim()
  }
}

function valuesOf(value: unknown, pointer: string): Found[] {
  if (typeof value === 'number' || typeof value === 'boolean') return [{ pointer, value }]
  if (typeof value === 'string')
    return DECIMAL.test(value) || SWITCHED.includes(value.toLowerCase()) ? [{ pointer, value }] : []
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([key, inner]) =>
    valuesOf(inner, `${pointer}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`),
  )
}

/** The number that the monitor would take, or null: what is on or true is 1. */
export function readAs(value: Found['value'], { scale, offset }: { scale: number; offset: number }): number | null {
  const word = String(value).toLowerCase()
  const raw = word === 'on' || word === 'true' ? 1 : word === 'off' || word === 'false' ? 0 : Number(value)
  const read = raw * scale + offset
  return Number.isFinite(read) ? read : null
} // prettier-ignore

/** Topics outside our own that something was heard on and could not be used: those wait to be bound. */
export function heardTopics({ quarantine }: SensorsView): readonly { topic: string; sample: string }[] {
  const topics = new Map<string, string>()
  for (const { topic, sample } of quarantine)
    if (topic !== 'nightcap' && !topic.startsWith('nightcap/') && !topics.has(topic)) topics.set(topic, sample)
  return [...topics].map(([topic, sample]) => ({ topic, sample }))
} // prettier-ignore

export interface ForeignGiven {
  readonly deviceId: string
  readonly title: string
  readonly quantity: Quantity
  readonly subject: SensorBinding['subject']
  readonly topicFilter: string
  readonly pointer: string
  readonly scale: number
  readonly offset: number
}

/** The binding of a device's value; its name is made of its title, and is none that the device has already. */
export function foreignBinding(given: ForeignGiven, taken: readonly string[]): SensorBinding {
  const { deviceId, title, quantity, subject, topicFilter, pointer, scale, offset } = given
  const own = taken.filter((id) => id.startsWith(`${deviceId}/`)).map((id) => id.slice(deviceId.length + 1))
  const name = nameFromTitle(title, { taken: own, fallback: quantity })
  return {
    id: `${deviceId}/${name}`,
    quantity,
    subject,
    intervalMs: 60_000,
    ...(title.trim() === '' ? {} : { title: title.trim() }),
    foreign: { topicFilter: topicFilter.trim(), pointer, scale, offset },
  }
}

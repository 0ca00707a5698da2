import { valueAtPointer } from '../../codecs/json-pointer.ts'
import type { Reading } from '../../core/model/input.ts'
import type { JudgedMessage } from '../../core/model/ports/ingest.ts'
import type { Quantity } from '../../core/model/quantity.ts'
import type { Rejection } from '../../core/model/rejection.ts'
import type { Arrival } from './arrival.ts'
import { checkedValue, type Refusal } from './judge-record.ts'
import type { ForeignBinding } from './message-index.ts'
import { shown, toRejection, toSample } from './reject.ts'

type Outcome = { readonly value: number } | Refusal

/** Reads what a device that does not speak SenML sent, once for each binding that its topic feeds. Measured when it came. */
export function judgeForeign(arrival: Arrival, bindings: readonly ForeignBinding[]): JudgedMessage {
  const { topic, payload, receivedMs } = arrival
  const document = toDocument(payload)
  const readings: Reading[] = []
  const rejections: Rejection[] = []
  for (const binding of bindings) {
    const outcome = readBinding(document, binding)
    if ('value' in outcome) {
      readings.push({
        sensorId: binding.sensorId,
        quantity: binding.quantity,
        atMs: receivedMs,
        value: outcome.value,
      })
    } else {
      const reason = `${binding.sensorId}: ${outcome.reason}`
      rejections.push(toRejection(topic, outcome.code, reason, toSample(payload)))
    }
  }
  readings.sort((a, b) => (a.sensorId < b.sensorId ? -1 : a.sensorId > b.sensorId ? 1 : 0))
  const nodeId = bindings[0]?.deviceId
  const heard = nodeId !== undefined && readings.length > 0
  return {
    receivedMs,
    readings: heard ? { nodeId, pack: null, readings, intervalMsOf: new Map() } : null,
    status: null,
    rejections,
  }
}

interface Document {
  /** The payload as text, or null when it is not UTF-8. */
  readonly text: string | null
  readonly json: { readonly value: unknown } | null
}

function toDocument(payload: Uint8Array): Document {
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(payload)
    return { text, json: parseJson(text) }
  } catch {
    return { text: null, json: null }
  }
}

function parseJson(text: string): { value: unknown } | null {
  try {
    return { value: JSON.parse(text) as unknown }
  } catch {
    return null
  }
}

function readBinding({ text, json }: Document, binding: ForeignBinding): Outcome {
  if (text === null)
    return { code: 'notJson', reason: 'the payload is not UTF-8 text: have the device send a number or JSON' }
  if (binding.pointer === '') return toReading(json ? json.value : text.trim(), binding)
  if (!json) {
    const reason = `the payload is not JSON, so ${shown(binding.pointer)} names nothing in it: leave the pointer empty for a plain number`
    return { code: 'notJson', reason }
  }
  const value = valueAtPointer(json.value, binding.pointer)
  if (value !== undefined) return toReading(value, binding)
  const reason = `the payload holds nothing at ${shown(binding.pointer)}: correct the pointer in the sensor's binding`
  return { code: 'pointerMissing', reason }
}

const WORDS: Readonly<Record<string, number>> = { true: 1, on: 1, false: 0, off: 0 }
const DECIMAL = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i

/** A number, a yes or no, or a text that writes one; null for anything else. */
function toNumber(found: unknown, quantity: Quantity): number | null {
  if (typeof found === 'number') return found
  if (typeof found === 'boolean') return quantity === 'powered' ? Number(found) : null
  if (typeof found !== 'string') return null
  const word = found.trim().toLowerCase()
  if (DECIMAL.test(word)) return Number(word)
  return quantity === 'powered' && Object.hasOwn(WORDS, word) ? (WORDS[word] ?? null) : null
}

function toReading(found: unknown, { quantity, scale, offset }: ForeignBinding): Outcome {
  const wanted = quantity === 'powered' ? 'true, false, on, off, 1 or 0' : 'a number'
  const raw = toNumber(found, quantity)
  const kind = typeof found === 'object' ? (found === null ? 'null' : 'an object or a list') : shown(found)
  if (raw === null)
    return {
      code: 'valueWrong',
      reason: `the value is ${kind}, not ${wanted}: correct the pointer or the device`,
    }
  return checkedValue('the value', quantity, raw * scale + offset)
}

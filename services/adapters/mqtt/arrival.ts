import type { JudgedMessage } from '../../core/model/ports/ingest.ts'
import type { RejectionCode } from '../../core/model/rejection.ts'
import { toRejection, toSample } from './reject.ts'

/** One MQTT publish as it came. */
export interface Arrival {
  readonly topic: string
  readonly payload: Uint8Array
  /** The broker had kept it from before, so it is not of now. */
  readonly retained: boolean
  readonly receivedMs: number
  /** Who published, where the broker knows: then only bindings of that device count. */
  readonly deviceId?: string
}

/** Nothing of the message can be used. */
export function rejected(arrival: Arrival, code: RejectionCode, reason: string): JudgedMessage {
  const rejections = [toRejection(arrival.topic, code, reason, toSample(arrival.payload))]
  return { receivedMs: arrival.receivedMs, readings: null, status: null, rejections }
}

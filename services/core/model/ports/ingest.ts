import type { PackMark, Reading } from '../input.ts'
import type { Rejection } from '../rejection.ts'

/** One MQTT message after judging: what of it can be used, and what cannot and why. Nothing of it has vanished. */
export interface JudgedMessage {
  readonly receivedMs: number
  readonly readings: JudgedReadings | null
  readonly status: { readonly nodeId: string; readonly online: boolean } | null
  readonly rejections: readonly Rejection[]
}

export interface JudgedReadings {
  /** The node, or the foreign device. */
  readonly nodeId: string
  readonly pack: PackMark | null
  /** In order of (atMs, sensorId, quantity), no two equal in all three. */
  readonly readings: readonly Reading[]
  /** The longest time to the next reading that a sensor promised, in ms, for those that did. */
  readonly intervalMsOf: ReadonlyMap<string, number>
}

/** Where judged messages go. */
export interface IngestSink {
  /**
   * IS-1 resolves once all of the message is on disk: only then may it be acknowledged.
   * IS-2 rejects when that failed: then it must not be acknowledged, and the connection must be closed so that it
   *      is sent again.
   */
  readonly offer: (message: JudgedMessage) => Promise<void>
}

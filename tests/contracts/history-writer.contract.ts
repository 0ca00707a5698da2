import { expect } from 'vitest'
import {
  HistoryRefusedError,
  type HistoryWriter,
  type PlacedReading,
} from '../../services/core/model/ports/history.ts'

/** A writer, and a look at what its store holds of a sensor. */
export interface WrittenHistory {
  readonly writer: HistoryWriter
  /** Times and values of a sensor's humidity, oldest first. */
  readonly held: (sensorId: string) => Promise<readonly (readonly [number, number])[]>
  /** Makes the store unreachable, and reachable again; null where nobody here can. */
  readonly cut: ((away: boolean) => Promise<void>) | null
}

export interface WriterCase {
  readonly rule: string
  readonly name: string
  readonly check: (history: WrittenHistory) => Promise<void>
}

const T0 = Date.UTC(2026, 4, 4, 6)
let made = 0
/** A sensor that no other case wrote to, since a remote store cannot be emptied. */
const freshSensor = (): string => `room-a/humidity-${process.pid}-${++made}`

export function placed(sensorId: string, n: number, value = 40 + n / 8): PlacedReading {
  const subject = { kind: 'room' as const, id: 'room-a' }
  return {
    sensorId,
    quantity: 'humidity',
    atMs: T0 + n * 1000,
    value,
    siteId: 'quayside',
    nodeId: 'room-a',
    subject,
    roomId: 'room-a',
  }
}
const rows = (readings: readonly PlacedReading[]) => readings.map((r) => [r.atMs, r.value])

export const historyWriterContract: readonly WriterCase[] = [
  {
    rule: 'HW-1',
    name: 'what was written is held when it resolves, more than a batch of the client too',
    check: async ({ writer, held }) => {
      const sensor = freshSensor()
      const many = Array.from({ length: 12_000 }, (_, n) => placed(sensor, n))
      await writer.write(many)
      expect(await held(sensor)).toEqual(rows(many))
    },
  },
  {
    rule: 'HW-1',
    name: 'nothing to write is no request and no error',
    check: async ({ writer }) => {
      await expect(writer.write([])).resolves.toBeUndefined()
    },
  },
  {
    rule: 'HW-1',
    name: 'a reading that belongs to nothing is held too, as are numbers of every size',
    check: async ({ writer, held }) => {
      const sensor = freshSensor()
      const odd = [0, -1.5e-9, 1e15, 0.1 + 0.2].map((value, n) => ({
        ...placed(sensor, n, value),
        subject: null,
        roomId: null,
      }))
      await writer.write(odd)
      expect(await held(sensor)).toEqual(rows(odd))
    },
  },
  {
    rule: 'HW-2',
    name: 'the same again, in another order, changes nothing',
    check: async ({ writer, held }) => {
      const sensor = freshSensor()
      const some = [0, 1, 2].map((n) => placed(sensor, n))
      await writer.write(some)
      await writer.write([...some].reverse())
      expect(await held(sensor)).toEqual(rows(some))
    },
  },
  {
    rule: 'HW-3',
    name: 'an absent store rejects, not for good, and takes the same readings when it is back',
    check: async ({ writer, held, cut }) => {
      if (!cut) return
      const sensor = freshSensor()
      const some = [0, 1].map((n) => placed(sensor, n))
      await cut(true)
      const refusal: unknown = await writer.write(some).catch((error: unknown) => error)
      await cut(false)
      expect(refusal).toBeInstanceOf(Error)
      expect(refusal).not.toBeInstanceOf(HistoryRefusedError)
      expect(await held(sensor)).toEqual([])
      await writer.write(some)
      expect(await held(sensor)).toEqual(rows(some))
    },
  },
]

import type { StoredNight } from '../../services/core/model/night-exposure.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import type { KeptVerdict, NightStore, TouchedHour } from '../../services/core/model/ports/night-store.ts'
import { createMemoryBookOfRecord } from './memory-book-of-record.ts'

const HOUR_MS = 3_600_000
const RESTS_ON: readonly string[] = ['nozzleCheck', 'headChange']

/** Nights in memory beside a book in memory. Same rules as the real store; nothing is on disk. */
export function createMemoryNights(): { store: NightStore; book: BookOfRecord } {
  const touched = new Map<string, { seq: number; hour: TouchedHour }>()
  const touch = (seq: number, hour: TouchedHour): void =>
    void touched.set(`${hour.kind} ${hour.id} ${hour.hour} ${hour.kind === 'machine' ? '' : seq}`, {
      seq,
      hour,
    })
  let logged = 0
  const inner = createMemoryBookOfRecord()
  const book: BookOfRecord = {
    ...inner,
    appendInput: (input) => {
      inner.appendInput(input)
      for (const r of input.type === 'readings' ? input.readings : []) {
        touch(input.seq, { kind: 'sensor', id: r.sensorId, hour: Math.floor(r.atMs / HOUR_MS) })
      }
    },
    applyEffects: (seq, effects) => {
      inner.applyEffects(seq, effects)
      for (const e of effects) {
        if (e.type === 'logEntryNoted' && RESTS_ON.includes(e.entry.kind)) logged++
        if (e.type !== 'quarterNoted') continue
        const hour = Math.floor((e.quarter.endMs - 1) / HOUR_MS)
        touch(seq, { kind: 'machine', id: e.quarter.machineId, hour })
      }
    },
  }
  const store = createMemoryNightStore({
    touchedAfter: (seq) => [...touched.values()].filter((t) => t.seq > seq).map((t) => t.hour),
    logRevision: () => logged,
  })
  return { book, store }
}

function createMemoryNightStore({
  touchedAfter,
  logRevision,
}: Pick<NightStore, 'touchedAfter' | 'logRevision'>): NightStore {
  const nights = new Map<string, readonly StoredNight[]>()
  const through = new Map<string, number>()
  let verdicts: readonly KeptVerdict[] = []
  let [revision, renewedMs]: [number, number | null] = [0, null]
  const nightsOf = (version: string): readonly StoredNight[] => nights.get(version) ?? []
  return {
    throughSeq: (version) => through.get(version) ?? 0,
    renewedMs: () => renewedMs,
    revision: () => revision,
    logRevision,
    nights: nightsOf,
    touchedAfter: (seq) => [
      ...new Map(touchedAfter(seq).map((h) => [`${h.kind} ${h.id} ${h.hour}`, h])).values(),
    ],
    renew: ({ modelVersion, throughSeq, nowMs, replaced, nights: fresh }) => {
      const before = nightsOf(modelVersion)
      const isReplaced = (n: StoredNight): boolean =>
        replaced.some((r) => r.machineId === n.machineId && r.nightOf === n.nightOf)
      const after = [...before.filter((n) => !isReplaced(n)), ...fresh].sort((a, b) =>
        key(a) < key(b) ? -1 : 1,
      )
      nights.set(modelVersion, after)
      through.set(modelVersion, throughSeq)
      renewedMs = nowMs
      if (JSON.stringify(after) !== JSON.stringify(before)) revision++
    },
    freeze: (some) => {
      const fresh = some.filter((v) => !verdicts.some((kept) => kept.month === v.month))
      verdicts = [...verdicts, ...fresh].sort((a, b) =>
        a.month === b.month ? (a.verdict.exposure < b.verdict.exposure ? -1 : 1) : a.month > b.month ? -1 : 1,
      )
      if (fresh.length > 0) revision++
      return fresh.length > 0
    },
    frozen: () => verdicts,
  }
}

function key({ machineId, channelGroupId, nightOf }: StoredNight): string {
  return [machineId, channelGroupId, nightOf].join('|')
}

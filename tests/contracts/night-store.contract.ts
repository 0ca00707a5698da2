import { expect } from 'vitest'
import type { StoredNight } from '../../services/core/model/night-exposure.ts'
import type { LogEntry } from '../../services/core/model/log-entry.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import type { KeptVerdict, NightRenewal, NightStore } from '../../services/core/model/ports/night-store.ts'
import type { ContractCase } from './contract.ts'
import { pack, reading, T0 } from './record-samples.ts'

export interface Nights {
  readonly store: NightStore
  readonly book: BookOfRecord
}

const HOUR_MS = 3_600_000
const ONE = '1, dry below 40 %RH'
const TWO = '1, dry below 35 %RH'
const night = (nightOf: string, change: Partial<StoredNight> = {}): StoredNight => ({
  modelVersion: ONE,
  machineId: 'roll',
  channelGroupId: 'roll-white',
  nightOf,
  headId: 'roll-head',
  fromMs: Date.parse(`${nightOf}T17:00:00Z`),
  toMs: Date.parse(`${nightOf}T17:00:00Z`) + 14.5 * HOUR_MS,
  doseKpaH: 14.5,
  minHumidityPct: null,
  hoursBelowPct: 0.25,
  darkHours: 0,
  uncappedHours: 0,
  cleaningsSeen: 3,
  minTemperatureC: 19.125,
  actedUpon: false,
  ...change,
})
const renewal = (change: Partial<NightRenewal> = {}): NightRenewal => ({
  modelVersion: ONE,
  throughSeq: 7,
  nowMs: T0,
  replaced: [],
  nights: [],
  ...change,
})
const roll = (nightOf: string) => ({ machineId: 'roll', nightOf })
const verdict = (month: string, change: Partial<KeptVerdict> = {}): KeptVerdict => ({
  month,
  fromDay: 20_600,
  frozenMs: T0,
  modelVersion: ONE,
  verdict: { exposure: 'doseKpaH', kind: 'nothingSeen', direction: 0, text: 'No link is seen.' },
  ...change,
})
const noted = (book: BookOfRecord, seq: number, endMs: number, machineId = 'roll'): void =>
  book.transaction(() =>
    book.applyEffects(seq, [
      {
        type: 'quarterNoted',
        quarter: { machineId, endMs, seconds: {}, cleanings: 0, uncappedS: 0, deficitKpa: null, inks: [] },
      },
    ]),
  )
const heard = (book: BookOfRecord, atS: number, sensorId?: string): void =>
  book.transaction(() => book.appendInput(pack(book.lastSeq() + 1, [reading(atS, 40, sensorId)])))

const said = { void: false, act: { actorId: 'ana', via: 'screen' as const, atMs: T0 } }
const check: LogEntry = {
  ...said,
  kind: 'nozzleCheck',
  checkId: 'one',
  machineId: 'roll',
  checkedMs: T0,
  reason: 'routine',
  missing: [],
  note: '',
}
const LOGGED: readonly LogEntry[] = [
  check,
  { ...check, note: 'two nozzles after all' },
  {
    ...said,
    kind: 'headChange',
    changeId: 'new',
    machineId: 'roll',
    headId: 'roll-head',
    changedMs: T0,
    note: '',
  },
  { ...said, kind: 'note', noteId: 'n', subject: { kind: 'machine', id: 'roll' }, text: 'Dusty', atMs: T0 },
]

export const nightStoreContract: readonly ContractCase<Nights>[] = [
  {
    rule: 'NE-1',
    name: 'each version knows through which input it was worked out; 0 at first',
    check: ({ store }) => {
      expect(store.throughSeq(ONE)).toBe(0)
      store.renew(renewal())
      store.renew(renewal({ modelVersion: TWO, throughSeq: 9 }))
      expect([store.throughSeq(ONE), store.throughSeq(TWO)]).toEqual([7, 9])
    },
  },
  {
    rule: 'NE-2',
    name: 'what is named is replaced with all its channel groups, what is not stays, as other versions do',
    check: ({ store }) => {
      const colour = { channelGroupId: 'roll-colour' }
      store.renew(
        renewal({ nights: [night('2026-11-25'), night('2026-11-25', colour), night('2026-11-26')] }),
      )
      store.renew(renewal({ modelVersion: TWO, nights: [night('2026-11-25', { modelVersion: TWO })] }))
      const better = night('2026-11-25', { doseKpaH: 20, actedUpon: true })
      store.renew(renewal({ replaced: [roll('2026-11-25')], nights: [better] }))
      expect(store.nights(ONE)).toEqual([better, night('2026-11-26')])
      expect(store.nights(TWO)).toEqual([night('2026-11-25', { modelVersion: TWO })])
      store.renew(renewal({ replaced: [roll('2026-11-26')] }))
      expect(store.nights(ONE)).toEqual([better])
    },
  },
  {
    rule: 'NE-3',
    name: 'by machine, channel group and night, with nothing lost and null where nothing is known',
    check: ({ store }) => {
      const nights = [
        night('2026-11-26'),
        night('2026-11-25', { machineId: 'flat', channelGroupId: 'white', cleaningsSeen: null }),
        night('2026-11-25', { channelGroupId: 'roll-colour', actedUpon: true, minTemperatureC: -3.5 }),
        night('2026-11-25'),
      ]
      store.renew(renewal({ nights }))
      expect(store.nights(ONE)).toEqual([nights[1], nights[2], nights[3], nights[0]])
      expect(store.nights(TWO)).toEqual([])
    },
  },
  {
    rule: 'NE-4',
    name: 'grows when a night changes or a verdict is frozen, and not when all is as it was',
    check: ({ store }) => {
      const seen = [store.revision()]
      const same = renewal({ replaced: [roll('2026-11-25')], nights: [night('2026-11-25')] })
      for (const change of [
        () => store.renew(same),
        () => store.renew(same),
        () => store.renew({ ...same, nights: [night('2026-11-25', { darkHours: 1 })] }),
        () => void store.freeze([verdict('2026-11')]),
        () => void store.freeze([verdict('2026-11')]),
        () => store.renew({ ...same, nights: [] }),
      ]) {
        change()
        seen.push(store.revision())
      }
      expect(seen.map((r) => r - (seen[0] ?? 0))).toEqual([0, 1, 1, 2, 3, 3, 4])
    },
  },
  {
    rule: 'NE-5',
    name: 'hours of quarters that were noted, or noted anew, after an input; each once',
    check: ({ store, book }) => {
      noted(book, 3, 10 * HOUR_MS)
      noted(book, 4, 10 * HOUR_MS + 900_000)
      noted(book, 5, 10 * HOUR_MS + 1_800_000)
      expect(store.touchedAfter(3)).toEqual([{ kind: 'machine', id: 'roll', hour: 10 }])
      noted(book, 6, 10 * HOUR_MS)
      const hours = store.touchedAfter(5).map((t) => t.hour)
      expect(hours).toEqual([9])
      expect(store.touchedAfter(6)).toEqual([])
    },
  },
  {
    rule: 'NE-5',
    name: 'hours of readings that came after an input; each once',
    check: ({ store, book }) => {
      heard(book, 0)
      heard(book, 10)
      heard(book, 20)
      heard(book, 30, 'other/humidity')
      const hour = Math.floor(T0 / HOUR_MS)
      expect(store.touchedAfter(1)).toHaveLength(2)
      expect(store.touchedAfter(1)).toEqual(
        expect.arrayContaining([
          { kind: 'sensor', id: 'bench/humidity', hour },
          { kind: 'sensor', id: 'other/humidity', hour },
        ]),
      )
      expect(store.touchedAfter(3)).toEqual([{ kind: 'sensor', id: 'other/humidity', hour }])
    },
  },
  {
    rule: 'NE-9',
    name: 'grows with a nozzle check, its correction and a head change, and with nothing else that is logged',
    check: ({ store, book }) => {
      const seen = [store.logRevision()]
      for (const entry of LOGGED) {
        book.transaction(() => book.applyEffects(1, [{ type: 'logEntryNoted', entry, atMs: T0 }]))
        seen.push(store.logRevision())
      }
      expect(seen.map((n, i) => n > (seen[i - 1] ?? -1))).toEqual([true, true, true, true, false])
    },
  },
  {
    rule: 'NE-6',
    name: 'a month is frozen once, and stays as it was',
    check: ({ store }) => {
      expect(store.freeze([verdict('2026-11')])).toBe(true)
      expect(store.freeze([verdict('2026-11', { frozenMs: T0 + 5 })])).toBe(false)
      expect(store.frozen()).toEqual([verdict('2026-11')])
    },
  },
  {
    rule: 'NE-7',
    name: 'all verdicts of a month, the newest month first',
    check: ({ store }) => {
      const dark = { ...verdict('2026-12').verdict, exposure: 'darkHours' as const }
      store.freeze([verdict('2026-11')])
      store.freeze([verdict('2026-12'), verdict('2026-12', { verdict: dark })])
      expect(store.frozen().map((v) => [v.month, v.verdict.exposure])).toEqual([
        ['2026-12', 'darkHours'],
        ['2026-12', 'doseKpaH'],
        ['2026-11', 'doseKpaH'],
      ])
    },
  },
  {
    rule: 'NE-8',
    name: 'when it was last renewed, though nothing changed; null before',
    check: ({ store }) => {
      expect(store.renewedMs()).toBe(null)
      store.renew(renewal())
      store.renew(renewal({ modelVersion: TWO, nowMs: T0 + 9 }))
      expect(store.renewedMs()).toBe(T0 + 9)
    },
  },
]

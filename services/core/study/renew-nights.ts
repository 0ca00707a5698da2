import type { Episode } from '../model/episode.ts'
import type { StoredNight } from '../model/night-exposure.ts'
import type { NightOfMachine, NightRenewal, NightStore } from '../model/ports/night-store.ts'
import type { RecordsReader } from '../model/ports/records.ts'
import { QUARTER_MS } from '../model/quarter.ts'
import type { Machine, Settings } from '../model/settings.ts'
import { actedUpon, type WhatPeopleDid } from './acted-upon.ts'
import { nightExposures, nightModelVersion, type QuarterMean } from './night-exposure.ts'
import { shopNights, type SettingsSince, type ShopNight } from './shop-nights.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** Nights that ended so lately are worked out again: a sensor is called stuck only later. */
const UNSETTLED_MS = 3 * DAY_MS
const MANY = 1_000_000

export interface RenewalQuestion {
  readonly reader: Pick<
    RecordsReader,
    | 'series'
    | 'machineQuarters'
    | 'episodes'
    | 'alarmChanges'
    | 'alarm'
    | 'tasks'
    | 'settingsHistory'
    | 'counts'
  >
  readonly store: Pick<NightStore, 'throughSeq' | 'touchedAfter' | 'nights'>
  readonly nowMs: number
  /** Called now and then with the share that is done. */
  readonly progress?: (share: number) => void
}

/**
 * Works out the nights that are not known yet, or not as they are known now.
 *
 * RENEW-1 a night that ended and is not kept is worked out; so is every night, once, when the rules or the limit for dry
 *         air have changed.
 * RENEW-2 a night of which a quarter was noted, or a reading of its room came, after it was worked out, is again.
 * RENEW-3 so is one that ended in the last three days.
 * RENEW-4 a night is told by the settings that held when it began; hours of dry air are counted below today's limit.
 * RENEW-5 what a sensor said while it was not to be trusted is left out.
 * RENEW-6 a kept night that is none any more is dropped.
 */
export function renewNights({ reader, store, nowMs, progress }: RenewalQuestion): NightRenewal | null {
  const past = settingsPast(reader)
  const now = past.at(-1)?.settings
  if (!now) return null
  const modelVersion = nightModelVersion(now.limits)
  const nights = shopNights(past, nowMs)
  const { stale, gone } = sortedNights(nights, { store, modelVersion, nowMs })
  const throughSeq = reader.counts().inputs
  const context: Context = {
    reader,
    modelVersion,
    dryBelowPct: now.limits.airDryPct.openBelow,
    did: peopleDid(reader, stale),
  }
  const found: StoredNight[] = []
  stale.forEach(({ night, machines }, i) => {
    found.push(...exposuresOf(night, machines, context))
    if (i % 20 === 0) progress?.(i / stale.length)
  })
  const replaced = stale.flatMap(({ night, machines }) =>
    machines.map((m) => ({ machineId: m.id, nightOf: night.nightOf })),
  )
  return { modelVersion, throughSeq, nowMs, replaced: [...replaced, ...gone], nights: found }
}

/** All settings that ever held, the oldest first. */
export function settingsPast(reader: Pick<RecordsReader, 'settingsHistory'>): readonly SettingsSince[] {
  return reader
    .settingsHistory(MANY)
    .map(({ atMs, settings }) => ({ sinceMs: atMs, settings }))
    .reverse()
}

interface StaleNight {
  readonly night: ShopNight
  readonly machines: readonly Machine[]
}

function sortedNights(
  nights: readonly ShopNight[],
  { store, modelVersion, nowMs }: { store: RenewalQuestion['store']; modelVersion: string; nowMs: number },
): { stale: readonly StaleNight[]; gone: readonly NightOfMachine[] } {
  const kept = new Map<string, NightOfMachine>()
  for (const { machineId, nightOf } of store.nights(modelVersion)) {
    kept.set(`${machineId} ${nightOf}`, { machineId, nightOf })
  }
  // Where nothing is kept every night is worked out, whatever was touched.
  const isTouched =
    kept.size === 0 ? () => true : touchedTest(store.touchedAfter(store.throughSeq(modelVersion)))
  const stale = nights.flatMap((night) => {
    const machines = night.settings.machines.filter((machine) => {
      if (machine.heads.length === 0) return false
      const isKept = kept.delete(`${machine.id} ${night.nightOf}`)
      return !isKept || nowMs - night.toMs < UNSETTLED_MS || isTouched(night, machine)
    })
    return machines.length > 0 ? { night, machines } : []
  })
  return { stale, gone: [...kept.values()] }
}

function touchedTest(
  touched: ReturnType<NightStore['touchedAfter']>,
): (night: ShopNight, machine: Machine) => boolean {
  const hours = new Map<string, Set<number>>()
  for (const { kind, id, hour } of touched) {
    const key = `${kind} ${id}`
    const own = hours.get(key)
    if (own) own.add(hour)
    else hours.set(key, new Set([hour]))
  }
  return ({ settings, fromMs, toMs }, machine) => {
    const keys = [`machine ${machine.id}`, ...airSensors(settings, machine.room).map((s) => `sensor ${s.id}`)]
    const heard = keys.flatMap((key) => hours.get(key) ?? [])
    if (heard.length === 0) return false
    // The quarter before closing is where the night's dose begins.
    for (let hour = Math.floor((fromMs - QUARTER_MS) / HOUR_MS); hour * HOUR_MS < toMs; hour++) {
      if (heard.some((own) => own.has(hour))) return true
    }
    return false
  }
}

function airSensors({ sensors }: Settings, roomId: string): Settings['sensors'] {
  return sensors.filter(
    ({ subject, quantity }) =>
      subject.kind === 'room' &&
      subject.id === roomId &&
      (quantity === 'humidity' || quantity === 'temperature'),
  )
}

interface Context {
  readonly reader: RenewalQuestion['reader']
  readonly modelVersion: string
  readonly dryBelowPct: number
  readonly did: WhatPeopleDid
}

function peopleDid(reader: RenewalQuestion['reader'], stale: readonly StaleNight[]): WhatPeopleDid {
  const fromMs = Math.min(...stale.map((s) => s.night.fromMs))
  const toMs = Math.max(...stale.map((s) => s.night.toMs))
  return {
    changes:
      stale.length === 0
        ? []
        : reader.alarmChanges({ fromMs, toMs }).filter((c) => c.state === 'acknowledged'),
    alarm: reader.alarm,
    tasks: reader
      .tasks({ states: ['signedOff'], limit: MANY })
      .filter(({ signedOff }) => signedOff !== null && signedOff.atMs >= fromMs && signedOff.atMs < toMs),
  }
}

function exposuresOf(night: ShopNight, machines: readonly Machine[], context: Context): StoredNight[] {
  const { reader, modelVersion, dryBelowPct, did } = context
  const distrusted = reader.episodes(night).filter((e) => DISTRUST.has(e.condition))
  const rooms = new Map<string, ReturnType<typeof roomOf>>()
  return machines.flatMap((machine) => {
    const air = rooms.get(machine.room) ?? roomOf(machine.room, night, { reader, distrusted })
    rooms.set(machine.room, air)
    return nightExposures({
      night,
      machine,
      quarters: reader.machineQuarters({
        machineId: machine.id,
        fromMs: night.fromMs - QUARTER_MS,
        toMs: night.toMs + QUARTER_MS - 1,
      }),
      ...air,
      dryBelowPct,
      actedUpon: actedUpon(machine, night.settings, { night, did }),
      modelVersion,
    })
  })
}

const DISTRUST: ReadonlySet<Episode['condition']> = new Set<Episode['condition']>([
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
])

function roomOf(
  roomId: string,
  night: ShopNight,
  { reader, distrusted }: { reader: RenewalQuestion['reader']; distrusted: readonly Episode[] },
) {
  const meansOf = (quantity: 'humidity' | 'temperature'): QuarterMean[][] =>
    airSensors(night.settings, roomId)
      .filter((s) => s.quantity === quantity)
      .map(({ id }) => {
        const off = distrusted.filter((e) => e.subject.kind === 'sensor' && e.subject.id === id)
        return reader
          .series({ sensorId: id, quantity, fromMs: night.fromMs, toMs: night.toMs, bucketMs: QUARTER_MS })
          .filter(({ atMs }) => !off.some((e) => atMs < (e.toMs ?? Infinity) && atMs + QUARTER_MS > e.fromMs))
      })
  return { humidityPct: meansOf('humidity'), temperatureC: meansOf('temperature') }
}

import { afterEach, beforeEach, expect, it } from 'vitest'
import { QUARTER_MS } from '../../../../../services/core/model/quarter.ts'
import { nightModelVersion } from '../../../../../services/core/study/night-exposure.ts'
import { alarm, episode, task } from '../../../../contracts/record-samples.ts'
import { openNightBook, type NightBook } from '../../../../parts/night-book.ts'
import { quietQuarters } from '../../../../parts/night-quarters.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { createTemporaryFolders } from '../../../../parts/temporary-folder.ts'

const at = (text: string): number => Date.parse(text)
const DAY_MS = 86_400_000
const settings = testSettings()
const VERSION = nightModelVersion(settings.limits)
const folders = createTemporaryFolders()
let shop: NightBook
beforeEach(() => {
  shop = openNightBook(folders.make())
  shop.settingsAt(at('2026-11-16T12:00:00Z'), settings)
})
afterEach(() => {
  shop.db.close()
  folders.removeAll()
})

/** Nights of that week begin at 17:00 and end at 07:30, UTC. */
const night = (date: string) => ({
  fromMs: at(`${date}T17:00:00Z`),
  toMs: at(`${date}T17:00:00Z`) + 14.5 * 3_600_000,
})
function live(date: string, humidityPct = 45): void {
  const { fromMs, toMs } = night(date)
  shop.note(toMs, quietQuarters({ fromMs: fromMs - QUARTER_MS, toMs }))
  shop.airFrom(fromMs, toMs, { sensorId: 'bench/humidity', value: humidityPct })
  shop.airFrom(fromMs, toMs, { sensorId: 'bench/temperature', value: 20 })
}
const kept = (date: string) =>
  shop.store.nights(VERSION).find((n) => n.nightOf === date && n.channelGroupId === 'roll-white')
const LATER = at('2026-11-25T12:00:00Z')

it('RENEW-1 nights that ended are worked out once; one of which nothing was seen is kept as unknown', () => {
  live('2026-11-16')
  live('2026-11-17', 38)
  expect(shop.renew(LATER)).toHaveLength(7)
  expect(kept('2026-11-16')).toMatchObject({
    doseKpaH: 14.5,
    minHumidityPct: 45,
    hoursBelowPct: 0,
    darkHours: 0,
  })
  expect(kept('2026-11-17')).toMatchObject({ minHumidityPct: 38, hoursBelowPct: 14.5, minTemperatureC: 20 })
  expect(kept('2026-11-18')).toMatchObject({ doseKpaH: null, minHumidityPct: null, darkHours: null })
  expect(shop.renew(LATER + 5 * DAY_MS)).toEqual(['2026-11-25', '2026-11-26', '2026-11-27'])
})

it('RENEW-2 late readings and quarters noted anew renew their night and no other', () => {
  live('2026-11-16')
  live('2026-11-17')
  shop.renew(LATER)
  expect(shop.renew(LATER + 1).filter((date) => date < '2026-11-20')).toEqual([])
  const { fromMs, toMs } = night('2026-11-18')
  shop.airFrom(fromMs, toMs, { sensorId: 'bench/humidity', value: 39 })
  expect(shop.renew(LATER + 2).filter((date) => date < '2026-11-20')).toEqual(['2026-11-18'])
  expect(kept('2026-11-18')).toMatchObject({ minHumidityPct: 39, hoursBelowPct: 14.5 })
  const dark = quietQuarters({ ...night('2026-11-17'), change: () => ({ seconds: { off: 900 } }) })
  shop.note(LATER, dark.slice(0, 8))
  expect(shop.renew(LATER + 3).filter((date) => date < '2026-11-20')).toEqual(['2026-11-17'])
  expect(kept('2026-11-17')?.darkHours).toBe(2)
  // A reading of the day, of another room's sensor, or of the bottle touches no night.
  shop.airFrom(at('2026-11-18T10:00:00Z'), at('2026-11-18T11:00:00Z'), {
    sensorId: 'bench/humidity',
    value: 39,
  })
  shop.airFrom(fromMs, toMs, { sensorId: 'attic/humidity', value: 39 })
  expect(shop.renew(LATER + 4).filter((date) => date < '2026-11-20')).toEqual([])
})

it('RENEW-3 a night that ended in the last three days is worked out again', () => {
  expect(shop.renew(LATER)).toContain('2026-11-20')
  // The weekend ended on Monday at 07:30.
  expect(shop.renew(at('2026-11-26T07:00:00Z'))).toEqual(['2026-11-20', '2026-11-23', '2026-11-24'])
  expect(shop.renew(at('2026-11-26T07:30:00Z'))).toEqual(['2026-11-23', '2026-11-24', '2026-11-25'])
})

it('RENEW-4 another limit for dry air works all nights out anew, and leaves those under the old one', () => {
  live('2026-11-16', 38)
  shop.renew(LATER)
  const drier = testSettings({
    limits: { airDryPct: { openBelow: 35, closeAbove: 37, onDelayMs: 0, offDelayMs: 0 } },
  })
  shop.settingsAt(LATER + 1, drier)
  expect(shop.renew(LATER + 2)).toHaveLength(7)
  const now = shop.store.nights(nightModelVersion(drier.limits))
  expect(now.find((n) => n.nightOf === '2026-11-16')?.hoursBelowPct).toBe(0)
  expect(kept('2026-11-16')?.hoursBelowPct).toBe(14.5)
})

it('RENEW-4 a night is told by the heads and the room of its own settings', () => {
  live('2026-11-16')
  const [machine] = settings.machines
  shop.settingsAt(at('2026-11-18T12:00:00Z'), {
    ...settings,
    machines: machine ? [{ ...machine, heads: [] }] : [],
  })
  shop.renew(LATER)
  expect([...new Set(shop.store.nights(VERSION).map((n) => n.nightOf))]).toEqual(['2026-11-16', '2026-11-17'])
})

it('RENEW-5 what a sensor said while it was not to be trusted is left out', () => {
  live('2026-11-16', 30)
  const { fromMs } = night('2026-11-16')
  const stuck = episode(fromMs + 3_600_000, {
    id: 'stuck',
    condition: 'sensorStuck',
    subject: { kind: 'sensor', id: 'bench/humidity' },
    toMs: fromMs + 4 * 3_600_000,
  })
  shop.take({ type: 'deadline', atMs: LATER, receivedMs: LATER }, [{ type: 'episodeOpened', episode: stuck }])
  shop.renew(LATER)
  expect(kept('2026-11-16')).toMatchObject({ minHumidityPct: null, minTemperatureC: 20 })
})

it('ACTED-1 ACTED-2 ACTED-3 acted upon: an alarm taken on or its task done in the night; not seen, not shelved, not of a bottle', () => {
  const inNight = (date: string) => night(date).fromMs + 3_600_000
  const room = { kind: 'room', id: 'floor' } as const
  const change = (date: string, id: string, states: readonly string[], subject: object = room) => {
    for (const state of states) {
      const atMs = inNight(date)
      const holds = state === 'normal' || state === 'returnedUnacknowledged' ? atMs : null
      shop.take({ type: 'deadline', atMs, receivedMs: atMs }, [
        {
          type: 'alarmChanged',
          atMs,
          alarm: alarm(id, { state: state as never, subject: subject as never, returnedMs: holds }),
        },
      ])
    }
  }
  change('2026-11-16', 'taken', ['unacknowledged', 'acknowledged'])
  change('2026-11-17', 'seen', ['unacknowledged', 'returnedUnacknowledged', 'normal'])
  change('2026-11-18', 'shelved', ['unacknowledged', 'shelved'])
  change('2026-11-19', 'elsewhere', ['unacknowledged', 'acknowledged'], { kind: 'room', id: 'attic' })
  const done = (date: string, id: string, of: Parameters<typeof task>[1]) => {
    const atMs = inNight(date)
    const signedOff = { actorId: 'ana', via: 'phone' as const, atMs, note: '' }
    shop.take({ type: 'deadline', atMs, receivedMs: atMs }, [
      { type: 'taskChanged', atMs, task: task(id, { state: 'signedOff', signedOff, ...of }) },
    ])
  }
  done('2026-11-19', 'routine', { origin: 'routine', subject: { kind: 'machine', id: 'roll' } })
  done('2026-11-19', 'bottle', { subject: { kind: 'bottle', id: 'roll-waste' } })
  done('2026-11-23', 'cap', { subject: { kind: 'head', id: 'roll-head' } })
  shop.renew(LATER)
  const acted = shop.store.nights(VERSION).filter((n) => n.actedUpon && n.channelGroupId === 'roll-white')
  expect(acted.map((n) => n.nightOf)).toEqual(['2026-11-16', '2026-11-23'])
})

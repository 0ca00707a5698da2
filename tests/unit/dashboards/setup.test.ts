import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { foreignBinding, heardTopics, readAs, valuesIn } from '../../../dashboards/src/models/foreign.ts'
import {
  nodeConfig,
  nodeLine,
  wayInWords,
  type NodeChannel,
} from '../../../dashboards/src/models/node-line.ts'
import { limitOf, rerunHash, withLimit } from '../../../dashboards/src/models/limits.ts'
import { withBands, withoutBands } from '../../../dashboards/src/models/power-bands.ts'
import {
  BEGIN,
  calibrate,
  redo,
  sentOf,
  settlingOf,
  stepOf,
  take,
  undo,
  withCalibration,
  type SentWeight,
} from '../../../dashboards/src/models/scale-walk.ts'
import {
  hoursShown,
  isStepDone,
  missingFor,
  stepAfter,
  WALK_STEPS,
  walkStepOf,
  withBottle,
  withMachine,
  withRoom,
  withShop,
} from '../../../dashboards/src/models/walk.ts'
import { picture, PICTURE_WIDTH } from '../../../dashboards/src/strip/power-picture.ts'
import { firstWords } from '../../../dashboards/src/words/first-words.ts'
import { parseNodeConfig } from '../../../sensors/load-config.ts'
import { valueAtPointer } from '../../../services/codecs/json-pointer.ts'
import { parseSettings } from '../../../services/codecs/settings-check.ts'
import { limitLeaves } from '../../../services/core/advise/settings-words/limit-words.ts'
import { emptySettings, type Settings } from '../../../services/core/model/settings.ts'
import { powerColumns } from '../../../services/web/power-picture.ts'
import { testSettings } from '../../parts/shop-settings.ts'

function first<T>([one]: readonly T[]): T {
  if (one === undefined) throw new Error('the list is empty')
  return one
}

describe('the walk through an empty shop', () => {
  const shop = { title: 'Harbour', timeZone: 'UTC', opens: '09:00', closes: '17:00', days: [5, 1] }

  it('WALK-1 WALK-2 each step makes settings that are taken, and the walk goes on at the next', () => {
    let settings = emptySettings()
    expect(walkStepOf(undefined, settings)).toBe('shop')
    settings = withShop(settings, shop)
    expect(settings.hours.weekly.map((o) => o.weekday)).toEqual([1, 5])
    expect(walkStepOf(undefined, settings)).toBe('room')
    expect(missingFor('machine', settings)).toContain('room first')
    settings = withRoom(settings, { title: 'Hall', volumeM3: 120 })
    const machine = { title: 'Roll', room: 'hall', heads: 2, white: true, selfCleaning: { kind: 'no' } as const }
    settings = withMachine(settings, machine)
    settings = withMachine(settings, { ...machine, heads: 16 })
    settings = withBottle(settings, { title: 'Waste', machine: 'roll', capacityMl: 1500 })
    expect(parseSettings(settings)).toMatchObject({ ok: true })
    expect(walkStepOf(undefined, settings)).toBe('told')
    expect(walkStepOf('room', settings)).toBe('room')
    expect(walkStepOf('nowhere', settings)).toBe('told')
  })

  it('WALK-5 a shop that is renamed keeps hours that differ by the day; hours that are given here replace them', () => {
    const weekly = [
      { weekday: 1, opens: '08:00', closes: '12:00' },
      { weekday: 1, opens: '13:00', closes: '18:00' },
      { weekday: 6, opens: '10:00', closes: '14:00' },
    ]
    const settings = testSettings({ hours: { weekly, holidays: [] } })
    const as = { title: 'Renamed', timeZone: 'Europe/Berlin', ...hoursShown(settings) }
    expect(withShop(settings, as)).toMatchObject({ site: { title: 'Renamed' }, hours: { weekly } })
    expect(withShop(settings, { ...as, closes: '17:00' }).hours.weekly).toEqual([
      { weekday: 1, opens: '08:00', closes: '17:00' },
      { weekday: 6, opens: '08:00', closes: '17:00' },
    ])
  })

  it('WALK-4 heads have their channel groups, and no id stands twice, however long the name', () => {
    let settings = withRoom(emptySettings(), { title: 'Hall', volumeM3: null })
    for (const title of ['A machine with a name that is very very long indeed', 'Roll', 'Roll'])
      settings = withMachine(settings, { title, room: 'hall', heads: 3, white: true, selfCleaning: { kind: 'unknown' } })
    expect(parseSettings(settings)).toMatchObject({ ok: true })
    expect(first(settings.machines).heads[0]?.channelGroups.map((g) => g.ink)).toEqual(['colour', 'white'])
  })

  it('WALK-1 no step but the last is left out, and the last is never done', () => {
    expect(WALK_STEPS.map(({ id }) => stepAfter(id))).toEqual([...WALK_STEPS.slice(1).map(({ id }) => id), 'end'])
    expect(WALK_STEPS.filter(({ id }) => isStepDone(id, emptySettings()))).toEqual([])
  })

  it('FIRST-1 FIRST-2 the air that is measured is told with its limit; without it nothing is said', () => {
    const settings = testSettings()
    const latest = new Map([['bench/humidity', { sensorId: 'bench/humidity', quantity: 'humidity' as const, atMs: 1, value: 33 }]])
    expect(firstWords(settings, null, latest)[1]).toMatch(/^Print floor has 33.%RH now\. That is below 40 %RH: if it stays so for 10 min/)
    expect(firstWords(settings, null, new Map())).toEqual(['Nightcap watches from now on.'])
  })

  it('FIRST-3 a shop in which no sensor has a place is not watched, and is told so', () => {
    expect(firstWords(emptySettings(), null, new Map())).toEqual([
      'Nightcap cannot watch yet: no sensor has been given its place.',
    ])
  })
}) // prettier-ignore

describe('the line for a node', () => {
  const wayIn = { site: 'quayside', broker: 'own', host: '127.0.0.1', port: 1883, encrypted: false, thisComputerOnly: true } as const
  const all: NodeChannel[] = ['air', 'scale', 'meter', 'contact']
  const parts = { id: 'bench', secret: 's3cret', channels: all, wayIn, pageHost: 'shop.lan' }

  it('LINE-3 every choice of channels gives a config that the node takes', () => {
    let taken = 0
    fc.assert(
      fc.property(fc.subarray(all, { minLength: 1 }), fc.constantFrom('0.0.0.0', '127.0.0.1', '::1'), fc.boolean(), (channels, host, encrypted) => {
        const thisComputerOnly = host !== '0.0.0.0'
        const config = nodeConfig({ ...parts, channels, wayIn: { ...wayIn, host, encrypted, thisComputerOnly } })
        const parsed = parseNodeConfig(JSON.stringify(config), '/tmp')
        expect(parsed).toMatchObject({ ok: true })
        taken++
      }),
    )
    expect(taken).toBeGreaterThan(50)
  })

  it('LINE-1 LINE-2 it begins with a space, keeps the secret from others, and fetches nothing', () => {
    const line = nodeLine(parts)
    expect(line).toMatch(/^ mkdir/)
    expect(line).toContain("(umask 077; printf %s 's3cret' > .node-bench/secret)")
    expect(line).toContain('npx --no nightcap sense')
  })

  it('LINE-4 a broker that listens everywhere is reached by the name of the page, and the clear text is said', () => {
    const open = { ...wayIn, host: '0.0.0.0', thisComputerOnly: false }
    expect(nodeConfig({ ...parts, wayIn: open })).toMatchObject({
      broker: { url: 'mqtt://shop.lan:1883', allowPlaintext: true },
    })
    expect(wayInWords(open)).toEqual([expect.stringContaining('in the clear')])
    expect(wayInWords({ ...open, encrypted: true })).toEqual([expect.stringContaining('broker.caFile')])
    expect(wayInWords(wayIn)[0]).toContain('only nodes on this computer')
  })
}) // prettier-ignore

describe('a scale', () => {
  const settings = testSettings()
  const bottle = first(settings.bottles)
  const steady = (sent: number, fromMs = 0): SentWeight[] =>
    [1, 2, 3].map((n) => ({ atMs: fromMs + n * 1000, sent: sent + n / 10_000 }))
  const at = { sinceMs: -1, nowMs: 5000, binding: undefined }
  const walked = (...sent: number[]) => sent.reduce((walk, value) => take(walk, value), BEGIN)

  it('SCALE-1 what is undone and redone is what it was, at every step', () => {
    let reached = 0
    fc.assert(
      fc.property(fc.array(fc.double({ min: -5, max: 20, noNaN: true }), { maxLength: 6 }), fc.nat(4), (sent, back) => {
        const walk = walked(...sent)
        expect(walk.taken.length).toBe(Math.min(4, sent.length))
        const times = Math.min(back, walk.taken.length)
        let other = walk
        for (let n = 0; n < times; n++) other = undo(other)
        for (let n = 0; n < times; n++) other = redo(other)
        expect(other).toEqual(walk)
        if (times > 0) reached++
      }),
    )
    expect(reached).toBeGreaterThan(20)
    expect(stepOf(walked(1, 2, 3, 4))).toBeNull()
  })

  it('SCALE-2 three readings within a small band are steady; fewer, older or wider ones are not', () => {
    expect(settlingOf(BEGIN, steady(1), at).kind).toBe('steady')
    expect(settlingOf(BEGIN, steady(1).slice(1), at)).toMatchObject({ kind: 'fewReadings', missing: 1 })
    expect(settlingOf(BEGIN, [...steady(1), { atMs: 4000, sent: 1.02 }], at).kind).toBe('moving')
    expect(settlingOf(BEGIN, steady(1), { ...at, sinceMs: 3000 }).kind).toBe('silent')
    expect(settlingOf(BEGIN, steady(1), { ...at, nowMs: 100_000 }).kind).toBe('silent')
  })

  it.each([
    ['grams', 0.001, 1],
    ['counts of a converter', 2e-6, 1],
    ['counts that fall as the load grows', -2e-6, 1],
    ['tonnes', 1000, 1],
    ['grams that are taken for kilograms', 1, 1000],
  ])('SCALE-2 a device that sends %s settles as one does that sends kilograms', (_, scale, taken) => {
    const [sensor] = settings.sensors
    if (!sensor) throw new Error('no sensor')
    const binding = { ...sensor, foreign: { topicFilter: 'scale/x', pointer: '', scale, offset: 0 } }
    const kg = (...values: number[]) =>
      values.map((value, n) => ({ atMs: (n + 1) * 1000, sent: (value * taken) / scale }))
    const settled = (readings: readonly SentWeight[], walk = BEGIN) => settlingOf(walk, readings, { ...at, binding }).kind
    expect(settled(kg(0.5, 0.5004, 0.5001))).toBe('steady')
    expect(settled(kg(0.5, 0.51, 0.52))).toBe('moving')
    const before = take(BEGIN, first(kg(0.5)).sent)
    expect(settled(kg(0.5, 0.5004, 0.5001), before)).toBe('sameAsBefore')
    expect(settled(kg(0.6, 0.6004, 0.6001), before)).toBe('steady')
    const same = calibrate(take(take(before, first(kg(0.5002)).sent), 0), { weightKg: 2, bottle, binding })
    expect(same.calibration).toBeNull()
  })

  it('SCALE-3 the load of the step before, and an empty scale in between, are not taken', () => {
    expect(settlingOf(walked(0.5), steady(0.5), at).kind).toBe('sameAsBefore')
    expect(settlingOf(walked(0.5, 1.5), steady(0.5), at).kind).toBe('emptyAgain')
    expect(settlingOf(walked(0.5, 1.5), steady(0.6), at).kind).toBe('steady')
  })

  it('SCALE-4 any true scale is found again from its weighings', () => {
    let found = 0
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 5, noNaN: true }),
        fc.double({ min: -10, max: 10, noNaN: true }),
        fc.double({ min: 1, max: 10, noNaN: true }),
        (scale, offset, weightKg) => {
          const sent = (kg: number): number => (kg - offset) / scale
          const walk = walked(sent(0), sent(weightKg), sent(0.21), sent(0.21 + 2))
          const { calibration } = calibrate(walk, { weightKg, bottle, binding: undefined })
          expect(calibration?.scale).toBeCloseTo(scale, 6)
          expect(calibration?.offset).toBeCloseTo(offset, 6)
          expect(calibration?.tareKg).toBeCloseTo(0.21, 3)
          expect(calibration?.capacityMl).toBe(2000)
          found++
        },
      ),
    )
    expect(found).toBeGreaterThan(50)
  })

  it.each([
    ['no difference', walked(1, 1, 1.2), 2, /makes no difference/, false],
    ['a factor that is far off', walked(0, 1, 0.1), 2, /more than a fifth off/, true],
    ['a light weight', walked(0, 0.5, 0.2), 0.5, /light: a full bottle weighs about 2.2 kg/, true],
    ['an empty bottle that is heavier than the full one', walked(0, 2, 2.2, 0.2), 2, /heavier than the full one/, false],
    ['a bottle lighter than nothing', walked(1, 3, 0.8), 2, /less than nothing/, true],
    ['a bottle that holds more than was set', walked(0, 2, 0.2, 3.2), 2, /holds 3000 mL/, true],
  ] as const)('SCALE-5 %s is named', (_, walk, weightKg, words, mayKeep) => {
    const { calibration, warnings } = calibrate(walk, { weightKg, bottle, binding: undefined })
    expect(warnings.join(' ')).toMatch(words)
    expect(calibration !== null).toBe(mayKeep)
  })

  it('SCALE-7 what is stored leads back to what was sent; a foreign device keeps its numbers in its binding', () => {
    const calibration = { scale: 2, offset: -1, tareKg: 0.3, capacityMl: 1800 }
    const ids = { bottleId: bottle.id, sensorId: 'bench/bottle', calibration }
    const after = withCalibration(settings, ids)
    const binding = after.sensors.find((s) => s.id === 'bench/bottle')
    expect(binding?.correction).toEqual({ scale: 2, offset: -1 })
    expect(sentOf(2 * 0.75 - 1, binding)).toBeCloseTo(0.75)
    expect(first(after.bottles)).toMatchObject({ tareKg: 0.3, capacityMl: 1800 })
    const foreign = { topicFilter: 'scale/kg', pointer: '', scale: 1, offset: 0 }
    const other: Settings = { ...settings, sensors: settings.sensors.map((s) => (s.id === 'bench/bottle' ? { ...s, foreign } : s)) }
    const changed = withCalibration(other, ids)
    expect(changed.sensors.find((s) => s.id === 'bench/bottle')).toMatchObject({ foreign: { scale: 2, offset: -1 } })
    expect(parseSettings(changed)).toMatchObject({ ok: true })
    expect(parseSettings(after)).toMatchObject({ ok: true })
  })
}) // prettier-ignore

describe('limits and bands in the forms', () => {
  it('LIMIT-1 one limit changes and nothing else, for every limit there is', () => {
    const settings = testSettings()
    for (const { path, value } of limitLeaves(settings.limits)) {
      expect(limitOf(settings, path)).toBe(value)
      const after = withLimit(settings, path, value + 1)
      expect(limitOf(after, path)).toBe(value + 1)
      expect(withLimit(after, path, value)).toEqual(settings)
    }
    expect(rerunHash('airDryPct.openBelow', 38)).toBe('#/rerun?limit=airDryPct.openBelow&value=38')
  })

  const typed = { offBelowW: '9', cleaningFromW: '', cleaningToW: '', printingFromW: '160', printingToW: '600' }
  it.each([
    [{ ...typed, offBelowW: '' }, /below how many watts/],
    [{ ...typed, cleaningFromW: '100' }, /both ends/],
    [{ ...typed, printingFromW: '700' }, /lower one first/],
    [{ ...typed, printingFromW: '5' }, /below "off"/],
    [{ ...typed, cleaningFromW: '100', cleaningToW: '170' }, /overlap/],
  ])('BANDS-1 wrong bands are refused with a cure', (given, fault) => {
    expect(withBands(testSettings(), 'roll', given).fault).toMatch(fault)
  })

  it('BANDS-2 BANDS-3 told bands hold instead of learned ones until they are given back', () => {
    const settings = testSettings()
    const { settings: after } = withBands(settings, 'roll', typed)
    if (!after) throw new Error('refused')
    expect(first(after.machines)).toMatchObject({ offBelowW: 9, powerBandsW: { printing: [160, 600], insteadOfLearned: true } })
    expect(parseSettings(after)).toMatchObject({ ok: true })
    expect(first(withoutBands(after, 'roll').machines).powerBandsW).toBeUndefined()
  })

  it('POWER-PICTURE-1 POWER-PICTURE-2 bars and bands stay within the drawing', () => {
    const columns = powerColumns([0.2, 40, 45, 120, 300, 300].map((mean) => ({ mean })))
    const inForce = { meterId: 'm', from: 'learned', offBelowW: 9, standbyTopW: 60, cleaningW: [100, 140], printingW: [160, 99_999] } as const
    const { bars, bands } = picture({ columns, inForce })
    expect(bands.map((b) => b.name)).toEqual(['off', 'standby', 'cleaning', 'printing'])
    for (const { x, width } of [...bars, ...bands]) {
      expect(x).toBeGreaterThanOrEqual(0)
      expect(width).toBeGreaterThan(0)
      expect(x + width).toBeLessThanOrEqual(PICTURE_WIDTH + 1e-6)
    }
    expect(picture({ columns: [], inForce })).toEqual({ bars: [], bands: [], ticks: [] })
  })
}) // prettier-ignore

describe('a device that speaks its own JSON', () => {
  it('FOREIGN-1 FOREIGN-2 each pointer that is offered leads to its value; any text is taken without a fault', () => {
    let reached = 0
    fc.assert(
      fc.property(fc.json(), fc.string(), (json, text) => {
        for (const { pointer, value } of valuesIn(json)) {
          expect(valueAtPointer(JSON.parse(json), pointer)).toEqual(value)
          reached++
        }
        valuesIn(text)
      }),
      { numRuns: 300 },
    )
    expect(reached).toBeGreaterThan(50)
    expect(valuesIn('21.5')).toEqual([{ pointer: '', value: 21.5 }])
    expect(valuesIn('on')).toEqual([{ pointer: '', value: 'on' }])
    expect(valuesIn('hello')).toEqual([])
  })

  it('FOREIGN-3 what is tapped makes a binding that the settings take, under a name of its own', () => {
    const settings = testSettings()
    const given = { deviceId: 'bench', title: 'Hall air', quantity: 'humidity', subject: { kind: 'room', id: 'floor' }, topicFilter: ' hall/air ', pointer: '/air/0/rh', scale: 0.1, offset: 0 } as const
    const one = foreignBinding(given, ['bench/hall-air'])
    expect(one).toMatchObject({ id: 'bench/hall-air-2', foreign: { topicFilter: 'hall/air', scale: 0.1 } })
    expect(parseSettings({ ...settings, sensors: [...settings.sensors, one] })).toMatchObject({ ok: true })
    expect(readAs('on', given)).toBeCloseTo(0.1)
    expect(readAs(452, given)).toBeCloseTo(45.2)
  })

  it('FOREIGN-4 topics that were heard are offered once, our own never', () => {
    const entry = { code: 'topicUnknown', reason: '', count: 1, firstMs: 1, lastMs: 1 }
    const quarantine = ['hall/air', 'hall/air', 'nightcap/v1/x'].map((topic) => ({ ...entry, topic, sample: '{}' }))
    const view = { sensors: [], nodes: [], quarantine, counts: { readings: 0, conflicts: 0, quarantined: 0, notJudged: 0, inputs: 0 } }
    expect(heardTopics(view)).toEqual([{ topic: 'hall/air', sample: '{}' }])
  })
}) // prettier-ignore

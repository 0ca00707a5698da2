import { describe, expect, it } from 'vitest'
import { bottleTracker, noteCleaning } from '../../../../../services/core/track/bottle.ts'
import type { BottleFacts } from '../../../../../services/core/track/bottle-facts.ts'
import type { Order } from '../../../../../services/core/model/input.ts'
import {
  during,
  HOUR,
  MINUTE,
  MONDAY_MS,
  noise,
  readingsOf,
  SCALE,
  SECOND,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { createSubjectRun, subjectContext, type SubjectRun } from '../../../../parts/subject-run.ts'

/** The invented shop's bottle: 2000 mL, tare 0.2 kg, density 1. */
const BOTTLE = { kind: 'bottle', id: 'roll-waste' } as const
const CADENCES = [SECOND, 10 * SECOND, MINUTE, 2 * MINUTE]

function settingsWith(everyMs: number, tareKg = 0.2) {
  const settings = testSettings()
  return {
    ...settings,
    bottles: settings.bottles.map((b) => ({ ...b, tareKg })),
    sensors: settings.sensors.map((s) => ({ ...s, intervalMs: everyMs })),
  }
}

function runOf(everyMs: number): SubjectRun<BottleFacts> {
  const context = subjectContext(BOTTLE, settingsWith(everyMs))
  return createSubjectRun({ tracker: bottleTracker, detectors: [], context })
}

/** Facts after a signal, and every fill that was known on the way. */
function follow(signal: Signal, { everyMs, forMs }: { everyMs: number; forMs: number }) {
  const run = runOf(everyMs)
  const fills: number[] = []
  for (const reading of readingsOf(signal, { forMs, everyMs })) {
    run.read(reading)
    const { fillPct } = run.facts()
    if (fillPct !== null) fills.push(fillPct)
  }
  return { run, facts: run.facts(), fills }
}

const settingsOrder = (atMs: number, settings: ReturnType<typeof settingsWith>): Order => ({
  type: 'settings',
  seq: 1,
  atMs,
  receivedMs: atMs,
  act: { actorId: 'owner', via: 'screen', atMs },
  settings,
})

describe('bottle on its scale', () => {
  it.each(CADENCES)(
    'BOTTLE-1 a hand of kilograms for a minute moves nothing, at a reading every %d ms',
    (everyMs) => {
      const hand = during(20 * MINUTE + 7 * SECOND, 21 * MINUTE + 7 * SECOND, 4)
      const { fills } = follow(
        together(() => 1.2, noise(0.0005), hand),
        { everyMs, forMs: 40 * MINUTE },
      )
      expect(fills.length).toBeGreaterThan(10)
      expect(Math.min(...fills)).toBeGreaterThan(49.9)
      expect(Math.max(...fills)).toBeLessThan(50.1)
    },
  )
  it.each(CADENCES)(
    'BOTTLE-1 a knee that lifts the bench moves nothing, at a reading every %d ms',
    (everyMs) => {
      const knee = during(20 * MINUTE, 20 * MINUTE + 20 * SECOND, -0.4)
      const { fills } = follow(
        together(() => 1.2, knee),
        { everyMs, forMs: 40 * MINUTE },
      )
      expect(Math.min(...fills)).toBeGreaterThan(49.9)
    },
  )
  it.each([MINUTE, 2 * MINUTE])(
    'BOTTLE-1 garbage has no middle: the weight is known rightly or not, at %d ms',
    (everyMs) => {
      let garbled = 0
      let known = 0
      const fraction = (x: number): number => x - Math.floor(x)
      const garbage: Signal = (since) => {
        const nth = since / everyMs
        if (since < 20 * MINUTE || fraction(Math.sin(nth * 12.9898 + 4.1) * 43_758.5453) < 0.4) return 0
        garbled++
        return 1.8 * fraction(Math.sin(nth * 78.233 + 1.7) * 12_543.123)
      }
      const { fills } = follow(
        together(() => 0.7, garbage),
        { everyMs, forMs: 6 * HOUR },
      )
      for (const pct of fills) if (Math.abs(pct - 25) < 2.6) known++
      expect(garbled).toBeGreaterThan(80)
      expect(known).toBeGreaterThan(10)
      // Three of five seldom agree by chance.
      expect(fills.length - known).toBeLessThanOrEqual(0.06 * fills.length)
    },
  )
  it('BOTTLE-1 the weight is known from three samples on', () => {
    expect(follow(() => 1.2, { everyMs: MINUTE, forMs: MINUTE }).facts.fillPct).toBeNull()
    expect(follow(() => 1.2, { everyMs: MINUTE, forMs: 2 * MINUTE }).facts.fillPct).toBeCloseTo(50, 6)
    expect(follow(() => 1.2, { everyMs: MINUTE, forMs: 2 * MINUTE }).facts.volumeMl).toBeCloseTo(1000, 6)
  })
  it.each(CADENCES)('BOTTLE-1 a lump is known within five minutes, at a reading every %d ms', (everyMs) => {
    const lump = during(20 * MINUTE, Infinity, 0.3)
    const { facts } = follow(
      together(() => 1.2, lump),
      { everyMs, forMs: 25 * MINUTE },
    )
    expect(facts.fillPct).toBeCloseTo(65, 6)
  })
  it('BOTTLE-2 a reading well below the tare is a lifted bottle, whose contents are not known', () => {
    const { facts } = follow(during(0, 20 * MINUTE, 1.2), { everyMs: MINUTE, forMs: 22 * MINUTE })
    expect(facts).toMatchObject({
      standing: 'lifted',
      standingFromMs: MONDAY_MS + 20 * MINUTE,
      fillPct: null,
    })
    expect(facts.settled?.massKg).toBeCloseTo(1.2, 6)
  })
  it('BOTTLE-2 a bottle that weighs a little less than its tare stands on the scale', () => {
    const { facts } = follow(() => 0.19, { everyMs: MINUTE, forMs: 10 * MINUTE })
    expect(facts.standing).toBe('onTheScale')
  })
  it('BOTTLE-3 a scale that has fallen silent knows nothing, from the time its last reading stops standing', () => {
    const { run } = follow(() => 1.2, { everyMs: MINUTE, forMs: 10 * MINUTE })
    run.wakeThrough(MONDAY_MS + HOUR)
    const silentMs = MONDAY_MS + 13 * MINUTE
    expect(run.facts()).toMatchObject({ standing: 'unknown', standingFromMs: silentMs, fillPct: null })
    expect(run.facts().settled?.massKg).toBeCloseTo(1.2, 6)
  })
  it('BOTTLE-4 a scale is at rest when two minutes of samples agree, and not while waste runs in fast', () => {
    const pour: Signal = (since) => 1.2 + Math.min(0.5, Math.max(0, since - 20 * MINUTE) * (0.1 / MINUTE))
    const { facts } = follow(pour, { everyMs: 10 * SECOND, forMs: 24 * MINUTE })
    expect(facts.settled?.atMs).toBeLessThan(MONDAY_MS + 21 * MINUTE)
    const later = follow(pour, { everyMs: 10 * SECOND, forMs: 30 * MINUTE }).facts
    expect(later.settled?.massKg).toBeCloseTo(1.7, 4)
  })
  it.each(CADENCES)(
    'BOTTLE-5 an emptying is found and told in grams, at a reading every %d ms',
    (everyMs) => {
      const lifted = during(20 * MINUTE, 25 * MINUTE, -1.2)
      const emptied = during(25 * MINUTE, Infinity, -0.97)
      const { facts } = follow(
        together(() => 1.2, lifted, emptied),
        { everyMs, forMs: 40 * MINUTE },
      )
      expect(facts.lastEmptying?.kind).toBe('emptied')
      expect(facts.lastEmptying?.removedG).toBeCloseTo(970, 3)
      expect(facts.lastEmptying?.remainedG).toBeCloseTo(30, 3)
      const { fromMs = 0, toMs = 0 } = facts.lastEmptying ?? {}
      expect(Math.abs(fromMs - (MONDAY_MS + 20 * MINUTE))).toBeLessThanOrEqual(everyMs)
      expect(Math.abs(toMs - (MONDAY_MS + 25 * MINUTE))).toBeLessThanOrEqual(everyMs)
      expect(facts.newTareKg).toBeCloseTo(0.23, 6)
      expect(facts.fillPct).toBeCloseTo(1.5, 3)
    },
  )
  it('BOTTLE-5 an emptying between two readings is seen by its end', () => {
    const { facts } = follow(
      together(() => 1.2, during(20 * MINUTE, Infinity, -0.98)),
      { everyMs: MINUTE, forMs: 40 * MINUTE },
    )
    expect(facts.lastEmptying).toMatchObject({ kind: 'emptied', toMs: MONDAY_MS + 20 * MINUTE })
  })
  it('BOTTLE-5 an emptying while the scale was silent is seen by its end', () => {
    const run = runOf(MINUTE)
    for (const r of readingsOf(() => 1.2, { forMs: 20 * MINUTE, everyMs: MINUTE })) run.read(r)
    const backMs = MONDAY_MS + 5 * HOUR
    for (const r of readingsOf(() => 0.205, { fromMs: backMs, forMs: 10 * MINUTE, everyMs: MINUTE }))
      run.read(r)
    expect(run.facts().lastEmptying).toMatchObject({ kind: 'emptied', toMs: backMs })
    expect(run.facts().newTareKg).toBeNull()
  })
  it('BOTTLE-5 what runs out within an hour before the eyes of the scale is no emptying', () => {
    const leak: Signal = (since) => 0.21 + Math.max(0, 0.99 - Math.max(0, since - HOUR) * (0.99 / HOUR))
    const { facts } = follow(leak, { everyMs: MINUTE, forMs: 3 * HOUR })
    expect(facts.lastEmptying).toBeNull()
    expect(facts.settled?.massKg).toBeCloseTo(0.21, 4)
  })
  it('BOTTLE-5 a bottle that was nearly empty, lifted and put back, was not emptied', () => {
    const lifted = during(20 * MINUTE, 25 * MINUTE, -0.215)
    const washed = during(25 * MINUTE, Infinity, -0.014)
    const { facts } = follow(
      together(() => 0.215, lifted, washed),
      { everyMs: MINUTE, forMs: 40 * MINUTE },
    )
    expect(facts.lastEmptying).toBeNull()
  })
  it('BOTTLE-6 a bottle that comes back lighter than its tare is another one', () => {
    const lifted = during(20 * MINUTE, 25 * MINUTE, -1.2)
    const other = during(25 * MINUTE, Infinity, -1.03)
    const { facts } = follow(
      together(() => 1.2, lifted, other),
      { everyMs: 10 * SECOND, forMs: 40 * MINUTE },
    )
    expect(facts.lastEmptying?.kind).toBe('replaced')
    expect(facts.lastEmptying?.removedG).toBeCloseTo(1000, 3)
    expect(facts.newTareKg).toBeCloseTo(0.17, 6)
  })
  it('BOTTLE-7 a bottle that was lifted and put back as it was counts as handled, not as emptied', () => {
    const { facts } = follow(
      together(() => 1.2, during(20 * MINUTE, 23 * MINUTE, -1.2)),
      { everyMs: 10 * SECOND, forMs: 40 * MINUTE },
    )
    expect(facts.lastEmptying).toBeNull()
    expect(facts.handledMs).toBe(MONDAY_MS + 23 * MINUTE)
    expect(facts.lift).toBeNull()
  })
  it('BOTTLE-7 a knee that lifts an almost empty bottle for a moment is no handling', () => {
    const knee = during(20 * MINUTE, 20 * MINUTE + 20 * SECOND, -0.2)
    const { facts } = follow(
      together(() => 0.22, knee),
      { everyMs: 10 * SECOND, forMs: 40 * MINUTE },
    )
    expect(facts.handledMs).toBe(MONDAY_MS)
  })
  it('BOTTLE-8 a tare that was changed ends the offer of a new one, and the fill follows it', () => {
    const lifted = during(20 * MINUTE, 25 * MINUTE, -1.2)
    const { run } = follow(
      together(() => 1.2, lifted, during(25 * MINUTE, Infinity, -0.97)),
      {
        everyMs: MINUTE,
        forMs: 40 * MINUTE,
      },
    )
    const settings = settingsWith(MINUTE, 0.23)
    run.order(settingsOrder(MONDAY_MS + 41 * MINUTE, settings), subjectContext(BOTTLE, settings))
    expect(run.facts().newTareKg).toBeNull()
    expect(run.facts().fillPct).toBeCloseTo(0, 6)
  })
  it('a bottle that loses its scale is not known any more', () => {
    const { run } = follow(() => 1.2, { everyMs: MINUTE, forMs: 10 * MINUTE })
    const settings = { ...settingsWith(MINUTE), sensors: [] }
    run.order(settingsOrder(MONDAY_MS + 11 * MINUTE, settings), subjectContext(BOTTLE, settings))
    expect(run.facts()).toMatchObject({ standing: 'unknown', fillPct: null, settled: null })
  })
  it('ignores what is no weight, or the weight of something else', () => {
    const run = runOf(MINUTE)
    run.read({ sensorId: SCALE, quantity: 'power', atMs: MONDAY_MS, value: 5 })
    run.read({ sensorId: 'other/bottle', quantity: 'mass', atMs: MONDAY_MS + 1, value: 5 })
    expect(run.facts()).toMatchObject({ standing: 'unknown', samples: [], atMs: MONDAY_MS + 1 })
  })
  it('keeps the cleanings of its own machines, in order, and forgets old ones', () => {
    const { run } = follow(() => 1.2, { everyMs: MINUTE, forMs: 10 * MINUTE })
    const at = (hours: number, machineId = 'roll'): void =>
      run.change(MONDAY_MS + 10 * MINUTE, (facts, context) =>
        noteCleaning(facts, { atMs: MONDAY_MS + hours * HOUR, machineId, owes: true }, context),
      )
    at(2)
    at(1)
    at(1.5, 'stranger')
    expect(run.facts().cleanings.map((c) => (c.atMs - MONDAY_MS) / HOUR)).toEqual([1, 2])
    at(9)
    expect(run.facts().cleanings.map((c) => (c.atMs - MONDAY_MS) / HOUR)).toEqual([9])
  })
  it.each([
    ['learned', 4, 'unknown'],
    ['told', null, 'everyHours'],
  ] as const)('BOTTLE-10 before half of the usual time, as %s, a cleaning owes nothing', (_, hours, kind) => {
    const plain = settingsWith(MINUTE)
    const selfCleaning = kind === 'unknown' ? { kind } : { kind, hours: 4 }
    const settings = { ...plain, machines: plain.machines.map((m) => ({ ...m, selfCleaning })) }
    const stamp = { subjectId: 'roll', fromMs: 0, toMs: 1, version: 'test' }
    const learned = hours === null ? [] : [{ kind: 'cleaningInterval' as const, ...stamp, hours }]
    const context = subjectContext(BOTTLE, settings, learned)
    const facts = bottleTracker.initial()
    for (const h of [0, 1.9, 3, 5, 5.5, 9]) {
      noteCleaning(facts, { atMs: MONDAY_MS + h * HOUR, machineId: 'roll', owes: h !== 9 }, context)
    }
    const owing = facts.cleanings.filter((c) => c.owes).map((c) => (c.atMs - MONDAY_MS) / HOUR)
    expect(owing).toEqual([5])
  })
  it('a restart before every reading changes nothing', () => {
    const signal = together(() => 1.2, noise(0.002), during(20 * MINUTE, 25 * MINUTE, -1.2))
    const context = subjectContext(BOTTLE, settingsWith(MINUTE))
    const [plain, restarted] = [false, true].map((restart) => {
      const run = createSubjectRun({ tracker: bottleTracker, detectors: [], context, restart })
      for (const r of readingsOf(signal, { forMs: HOUR, everyMs: 10 * SECOND })) run.read(r)
      return run.facts()
    })
    expect(restarted).toEqual(plain)
  })
})

import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { keepPowerBound, firePower, powerDeadlineMs } from '../../../../../services/core/track/power.ts'
import { history } from '../learn/power-history.ts'
import {
  chopped,
  createMeteredMachine,
  HOUR,
  inTurn,
  metered,
  MINUTE,
  SECOND,
  START,
  TOLD,
  type Load,
} from './metered-machine.ts'

const REST: readonly [number, number] = [600, 48]

function watch(
  load: Load,
  seconds: number,
  intervalMs = 10 * SECOND,
  machine: Record<string, unknown> = TOLD,
) {
  const roll = createMeteredMachine({ machine, restart: true })
  roll.meter(metered(load, START + seconds * SECOND, intervalMs))
  return roll
}

describe('on and off', () => {
  it('POWER-STATE-1 a machine is off when every sensor that still speaks says so', () => {
    const roll = createMeteredMachine({ contact: true })
    const at = (s: number) => START + s * SECOND
    roll.contact(at(0), true)
    expect(roll.facts().state).toBe('on')
    roll.meter([[at(10), 0.2]])
    expect(roll.facts().state).toBe('on')
    roll.contact(at(20), false)
    expect(roll.facts()).toMatchObject({ state: 'off', sinceMs: at(20), wasOn: false, lastOnMs: at(10) })
    roll.meter([[at(30), 40]])
    expect(roll.facts()).toMatchObject({ state: 'on', sinceMs: at(30) })
  })

  it('POWER-STATE-1 a sensor that is silent has no say', () => {
    const roll = createMeteredMachine({ contact: true, intervalMs: MINUTE })
    roll.contact(START, true)
    roll.meter([[START, 50]])
    for (let m = 1; m <= 3; m++) roll.contact(START + m * MINUTE, false)
    expect(roll.facts().state).toBe('on')
    roll.contact(START + 4 * MINUTE, false)
    expect(roll.facts().state).toBe('off')
  })

  it('POWER-STATE-1 nothing is known once no sensor speaks, from that moment on', () => {
    const roll = createMeteredMachine({ intervalMs: MINUTE })
    roll.meter([[START, 50]])
    expect(powerDeadlineMs(roll.facts(), roll.context)).toBe(START + 3 * MINUTE)
    firePower(roll.facts(), START + 3 * MINUTE, roll.context, (c) => roll.changes.push(c))
    expect(roll.facts()).toMatchObject({ state: 'unknown', sinceMs: START + 3 * MINUTE })
    expect(powerDeadlineMs(roll.facts(), roll.context)).toBe(Infinity)
  })

  it('POWER-STATE-1 a silence reads the same whether its deadline was fired or not', () => {
    const [woken, asleep] = [true, false].map((fires) => {
      const roll = createMeteredMachine({ machine: TOLD, intervalMs: MINUTE })
      roll.meter(metered(inTurn([1200, 185]), START + 20 * MINUTE, MINUTE))
      const dueMs = powerDeadlineMs(roll.facts(), roll.context)
      if (fires) firePower(roll.facts(), dueMs, roll.context, (c) => roll.changes.push(c))
      roll.meter([[START + HOUR, 48]])
      return { facts: roll.facts(), changes: roll.changes }
    })
    expect(woken).toEqual(asleep)
    expect(woken?.changes.filter((c) => c.type === 'printed')).toHaveLength(1)
  })

  it('POWER-STATE-2 power falls and comes with the first reading that says so, and the last falls are kept', () => {
    const roll = watch(inTurn([60, 48], [60, 0], [60, 48], [60, 0], [60, 48]), 300)
    expect(roll.of('powerFell').map((c) => (c.atMs - START) / SECOND)).toEqual([70, 190])
    expect(roll.of('powerCame').map((c) => (c.atMs - START) / SECOND)).toEqual([130, 250])
    expect(roll.facts().fallsMs).toHaveLength(2)
  })

  it('POWER-STATE-2 keeps twenty falls at most', () => {
    const flicker = Array.from({ length: 60 }, (_, i) => [20, i % 2 === 0 ? 48 : 0] as const)
    expect(watch(inTurn(...flicker), 1200).facts().fallsMs).toHaveLength(20)
  })

  it('POWER-STATE-2 a machine that is off when first heard did not fall', () => {
    expect(watch(inTurn(), 60).of('powerFell')).toEqual([])
  })

  it('POWER-STATE-2 power that fell during a silence is told with the first reading after it', () => {
    const roll = createMeteredMachine({ machine: TOLD, intervalMs: MINUTE })
    roll.meter(metered(inTurn([1200, 185]), START + 20 * MINUTE, MINUTE))
    roll.meter([[START + 30 * MINUTE, 0]])
    expect(roll.of('powerFell')).toEqual([
      { type: 'powerFell', atMs: START + 30 * MINUTE, during: 'printing' },
    ])
  })

  it('POWER-STATE-2 what it did before a long silence says nothing of the fall', () => {
    const roll = createMeteredMachine({ machine: TOLD, intervalMs: MINUTE })
    roll.meter(metered(inTurn([1200, 185]), START + 20 * MINUTE, MINUTE))
    roll.meter([[START + 3 * HOUR, 0]])
    expect(roll.of('powerFell')).toMatchObject([{ during: 'unknown' }])
  })

  it.each<{ did: string; stretches: (readonly [number, number])[]; during: string }>([
    { did: 'printing', stretches: [REST, [600, 185]], during: 'printing' },
    { did: 'printing for half a minute', stretches: [REST, [40, 185]], during: 'printing' },
    { did: 'printing with its heater on', stretches: [REST, [300, 185], [50, 700]], during: 'printing' },
    { did: 'printing until two minutes ago', stretches: [REST, [600, 185], [119, 48]], during: 'standby' },
    { did: 'standing by', stretches: [REST], during: 'standby' },
    { did: 'cleaning', stretches: [REST, [170, 112]], during: 'cleaning' },
  ])('POWER-STATE-2 power that fell while $did fell during $during', ({ stretches, during }) => {
    const seconds = stretches.reduce((sum, [s]) => sum + s, 0) + 60
    for (const intervalMs of [10 * SECOND, MINUTE]) {
      const seen = watch(inTurn(...stretches), seconds + 60, intervalMs).of('powerFell')
      if (intervalMs === MINUTE && seconds % 60 !== 0) continue
      expect(seen).toMatchObject([{ during }])
    }
  })
})

describe('levels', () => {
  it('POWER-STATE-3 says what the machine does, dated to where it began', () => {
    const roll = watch(inTurn([600, 48], [180, 112], [600, 48], [900, 185], [600, 48]), 2880)
    const told = roll.of('stateChanged').map((c) => [c.to, Math.round((c.atMs - START) / SECOND)])
    expect(told).toEqual([
      ['on', 10],
      ['standby', 10],
      ['cleaning', 600],
      ['standby', 780],
      ['printing', 1380],
      ['standby', 2280],
    ])
    expect(roll.of('cleaned')).toEqual([
      { type: 'cleaned', fromMs: START + 600 * SECOND, toMs: START + 780 * SECOND },
    ])
    expect(roll.of('printed')).toEqual([
      { type: 'printed', fromMs: START + 1380 * SECOND, toMs: START + 2280 * SECOND },
    ])
    expect(roll.facts()).toMatchObject({ cleaningsSeen: 1, printedToMs: START + 2280 * SECOND })
  })

  it.each([
    { what: 'a heater of 340 W', addW: 340, onS: 50, everyS: 190 },
    { what: 'a heater that reaches just the cleaning band', addW: 65, onS: 50, everyS: 190 },
    { what: 'a fan', addW: 20, onS: 60, everyS: 300 },
    { what: 'a stirrer that reaches the cleaning band for a minute', addW: 60, onS: 60, everyS: 900 },
  ])('POWER-STATE-3 $what that pulses at rest changes nothing', ({ addW, onS, everyS }) => {
    const load: Load = (atMs) => (((atMs - START) / SECOND) % everyS < onS ? 48 + addW : 48)
    const roll = watch(load, 6 * 3600)
    expect(roll.of('cleaned')).toEqual([])
    expect(roll.of('printed')).toEqual([])
    expect(roll.of('stateChanged').map((c) => c.to)).toEqual(['on', 'standby'])
  })

  it('POWER-STATE-3 pulses too near each other to be parted are no print, and do not draw one out', () => {
    const pulsing: Load = (atMs) => (((atMs - START) / SECOND) % 100 < 30 ? 388 : 48)
    expect(watch(pulsing, 3 * 3600).of('printed')).toEqual([])
    const after: Load = (atMs) => (atMs <= START + 3 * HOUR ? 185 : pulsing(atMs))
    const [print, ...more] = watch(after, 6 * 3600).of('printed')
    expect(more).toEqual([])
    expect(print?.toMs).toBeLessThan(START + 3 * HOUR + 15 * MINUTE)
  })

  it('POWER-STATE-3 a print with pauses and a heater is one print', () => {
    const load: Load = (atMs) => {
      const s = (atMs - START) / SECOND
      if (s > 4000) return 48
      return s % 190 < 50 ? 525 : s % 120 < 20 ? 60 : 185
    }
    expect(watch(load, 4600).of('printed')).toHaveLength(1)
  })

  it('POWER-STATE-4 longer in the cleaning band than any cleaning is not cleaning', () => {
    const roll = watch(inTurn([600, 48], [3000, 112], [600, 48]), 4200)
    expect(roll.of('cleaned')).toEqual([])
    const states = roll.of('stateChanged').map((c) => c.to)
    expect(states).toEqual(['on', 'standby', 'cleaning', 'on', 'standby'])
  })

  it('POWER-STATE-5 a contact, or a meter without bands, tells on and off and no cleaning', () => {
    const meter = watch(inTurn([600, 48], [180, 112], [600, 48]), 1380, 10 * SECOND, {})
    expect(meter.of('stateChanged').map((c) => c.to)).toEqual(['on'])
    const roll = createMeteredMachine({ meter: false, contact: true, machine: TOLD })
    for (let s = 0; s < 600; s += 10) roll.contact(START + s * SECOND, true)
    expect(roll.changes.map((c) => c.type)).toEqual(['stateChanged'])
    expect(roll.facts().state).toBe('on')
  })

  it('POWER-STATE-5 while its meter is silent on is all that is known', () => {
    const roll = createMeteredMachine({ machine: TOLD, contact: true, intervalMs: MINUTE })
    roll.meter(metered(inTurn([600, 48]), START + 10 * MINUTE, MINUTE))
    expect(roll.facts().state).toBe('standby')
    roll.contact(START + 13 * MINUTE, true)
    expect(roll.facts().state).toBe('standby')
    roll.contact(START + 14 * MINUTE, true)
    expect(roll.facts().state).toBe('on')
  })

  it('POWER-STATE-6 a cleaning that a fall of power or silence cuts was no cleaning; a print counts so far', () => {
    expect(watch(inTurn([600, 48], [170, 112]), 1200).of('cleaned')).toEqual([])
    expect(watch(inTurn([600, 48], [400, 185]), 1200).of('printed')).toHaveLength(1)
    const roll = createMeteredMachine({ machine: TOLD })
    const draws = metered(inTurn([600, 48], [180, 112], [900, 48]), START + 1600 * SECOND, 10 * SECOND)
    roll.meter(draws.filter(([atMs]) => atMs <= START + 760 * SECOND || atMs > START + 1000 * SECOND))
    expect(roll.of('cleaned')).toEqual([])
  })

  it('forgets a sensor that is no longer heard', () => {
    const roll = createMeteredMachine({ machine: TOLD })
    roll.meter(metered(inTurn([600, 48]), START + 600 * SECOND, 10 * SECOND))
    const unheard = { ...roll.context, sensors: new Map() }
    keepPowerBound(roll.facts(), START + 700 * SECOND, unheard, (c) => roll.changes.push(c))
    expect(roll.facts()).toMatchObject({ state: 'unknown', latest: [], wasOn: null })
  })
})

describe('cleanings', () => {
  it.each([
    { seconds: 60, seen: 0 },
    { seconds: 120, seen: 1 },
    { seconds: 180, seen: 1 },
    { seconds: 360, seen: 1 },
    { seconds: 600, seen: 0 },
  ])('CLEANED-1 $seconds s in the told band are $seen cleaning', ({ seconds, seen }) => {
    const load = inTurn([600, 48], [seconds, 112], [600, 48])
    expect(watch(load, 1200 + seconds).of('cleaned')).toHaveLength(seen)
  })

  it('CLEANED-1 a pump that pauses, or a heater on top, does not hide a cleaning', () => {
    const pausing = inTurn([600, 48], [60, 112], [30, 48], [90, 112], [20, 48], [60, 112], [600, 48])
    expect(watch(pausing, 1460).of('cleaned')).toHaveLength(1)
    const heated = inTurn([600, 48], [60, 112], [50, 452], [70, 112], [600, 48])
    expect(watch(heated, 1380).of('cleaned')).toHaveLength(1)
  })

  it('CLEANED-2 an average over the beginning of a print is no cleaning', () => {
    const roll = createMeteredMachine({ machine: TOLD })
    for (let shift = 0; shift < 60; shift += 5) {
      const load = inTurn([600 + shift, 48], [600, 185], [1200, 48])
      roll.meter(metered(load, START + 2400 * SECOND, MINUTE).map(([t, w]) => [t + shift * HOUR, w]))
    }
    expect(roll.of('printed')).toHaveLength(12)
    expect(roll.of('cleaned')).toEqual([])
  })

  it('as many cleanings are seen when the meter reports each minute as when it does every ten seconds', () => {
    const seen = { fine: 0, coarse: 0 }
    fc.assert(
      fc.property(
        fc.record({ seed: fc.nat(100_000), shortestS: fc.integer({ min: 180, max: 300 }) }),
        ({ seed, shortestS }) => {
          const { draws } = history({
            days: 1,
            seed,
            cleaningEveryH: 2,
            cleaningS: [shortestS, shortestS + 60],
          })
          const [fine, coarse] = [1, 6].map((times) => {
            const roll = createMeteredMachine({ machine: TOLD })
            roll.meter(chopped(draws, times))
            return roll.of('cleaned').length
          })
          seen.fine += fine ?? 0
          seen.coarse += coarse ?? 0
          // A minute's mean that lies across both edges of a short cleaning may hide one, never more in a day.
          expect(Math.abs((coarse ?? 0) - (fine ?? 0))).toBeLessThanOrEqual(1)
        },
      ),
      { numRuns: 40 },
    )
    expect(seen.fine).toBeGreaterThan(200)
    expect(Math.abs(seen.coarse - seen.fine)).toBeLessThan(0.02 * seen.fine)
  })

  it('a restart between any two readings changes nothing', () => {
    const { draws } = history({ days: 2, seed: 3 })
    const [kept, restarted] = [false, true].map((restart) => {
      const roll = createMeteredMachine({ machine: TOLD, restart })
      roll.meter(draws)
      return { facts: roll.facts(), changes: roll.changes }
    })
    expect(restarted).toEqual(kept)
    expect(kept?.changes.filter((c) => c.type === 'cleaned').length).toBeGreaterThan(5)
  })
})

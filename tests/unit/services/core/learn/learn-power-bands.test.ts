import { describe, expect, it } from 'vitest'
import {
  learnPowerBands,
  movedFar,
  POWER_BANDS_VERSION,
  type PowerBandsOutcome,
} from '../../../../../services/core/learn/learn-power-bands.ts'
import { powerBandsSchema, type PowerBands } from '../../../../../services/core/model/learned/power-bands.ts'
import { chopped, createMeteredMachine, minuteSamples } from '../track/metered-machine.ts'
import { history, isOpenAt, type HistoryPlan } from './power-history.ts'

const DAYS = 10
const HEATER = { addW: 340, onS: 50, everyS: 190 }

const pasts = new Map<string, ReturnType<typeof history>>()
/** The same plan gives the same past; it is worked out once. */
function past(plan: Partial<HistoryPlan>): ReturnType<typeof history> {
  const key = JSON.stringify(plan)
  const known = pasts.get(key) ?? history({ days: DAYS, ...plan })
  pasts.set(key, known)
  return known
}

function learn(plan: Partial<HistoryPlan>, times = 1): PowerBandsOutcome {
  const { draws } = past(plan)
  return learnPowerBands({
    machineId: 'roll',
    samples: minuteSamples(chopped(draws, times)),
    offBelowW: 2,
    isOpenAt,
  })
}

function bandsOf(outcome: PowerBandsOutcome): PowerBands {
  if (!outcome.separable) throw new Error(`not separable: ${outcome.reason}`)
  return outcome.value
}

/** Cleanings missed, and found where there was none, in a past that was not learned from. */
function scoreOf(bands: PowerBands, plan: Partial<HistoryPlan>, times: number) {
  const { draws, cleanings } = past({ ...plan, seed: 77 })
  const roll = createMeteredMachine({ learned: [bands] })
  roll.meter(chopped(draws, times))
  const seen = roll.of('cleaned')
  type Stretch = { fromMs: number; toMs: number }
  const meets = (a: Stretch, b: Stretch) => a.fromMs < b.toMs + 60_000 && b.fromMs < a.toMs + 60_000
  return {
    all: cleanings.length,
    missed: cleanings.filter((c) => !seen.some((s) => meets(c, s))).length,
    invented: seen.filter((s) => !cleanings.some((c) => meets(c, s))).length,
  }
}

describe('learning bands', () => {
  it('BANDS-1 finds the levels of a machine, and how long its cleanings take', () => {
    const outcome = learn({})
    const bands = bandsOf(outcome)
    expect(powerBandsSchema.parse(bands)).toEqual(bands)
    expect(bands).toMatchObject({ subjectId: 'roll', version: POWER_BANDS_VERSION, samples: DAYS * 1440 })
    expect(outcome).toMatchObject({ noCleaning: null })
    const { offBelowW, standbyW, cleaningW, printingW, cleaningS } = bands
    expect(offBelowW).toBeGreaterThan(2)
    const edges = [offBelowW, ...standbyW, ...(cleaningW ?? []), ...(printingW ?? [])]
    expect(edges).toEqual([...edges].sort((a, b) => a - b))
    expect(standbyW[0]).toBeLessThan(48)
    expect(cleaningW?.[0]).toBeLessThan(112)
    expect(cleaningW?.[1]).toBeGreaterThan(112)
    expect(printingW?.[0]).toBeLessThan(185)
    expect(cleaningS?.[0]).toBeGreaterThan(150)
    expect(cleaningS?.[1]).toBeLessThan(210)
  })

  const both = ['standby', 'printing'] as const
  it.each([
    { what: 'with short noise', plan: {}, times: [1, 6] },
    { what: 'that cleans itself for 2 to 6 minutes', plan: { cleaningS: [130, 360] }, times: [1] },
    { what: 'that cleans itself every hour', plan: { cleaningEveryH: 1 }, times: [1, 6] },
    { what: 'that cleans itself once a day', plan: { cleaningEveryH: 24 }, times: [1, 6] },
    { what: 'with a loud meter', plan: { noise: 0.05 }, times: [1, 6] },
    { what: 'whose cleaning draws more than its printing', plan: { cleaningW: 300 }, times: [1, 6] },
    { what: 'that was not used for printing', plan: { prints: false }, times: [1, 6] },
    {
      what: 'with a heater that prints and a stirrer at rest',
      plan: {
        pulses: [
          { ...HEATER, states: ['printing'] },
          { addW: 20, onS: 60, everyS: 900, states: both },
        ],
      },
      times: [1, 6],
    },
    { what: 'with a heater day and night', plan: { pulses: [{ ...HEATER, states: both }] }, times: [1] },
    {
      what: 'with a heater in cleanings too',
      plan: { pulses: [{ ...HEATER, states: [...both, 'cleaning'] }] },
      times: [1],
    },
  ] satisfies readonly { what: string; plan: Partial<HistoryPlan>; times: readonly number[] }[])(
    'BANDS-1 BANDS-3 tells the cleanings of a machine $what',
    ({ plan, times }) => {
      for (const n of times) {
        const { all, missed, invented } = scoreOf(bandsOf(learn(plan, n)), plan, n)
        expect(all).toBeGreaterThan(8)
        expect({ missed, invented }).toEqual({ missed: 0, invented: 0 })
      }
    },
  )

  it.each([
    {
      what: 'cleanings that draw what printing draws',
      plan: { cleaningW: 185 },
      reason: 'pulsesLikeCleanings',
    },
    {
      what: 'an hourly pulse of two minutes at the level of cleanings',
      plan: { pulses: [{ addW: 65, onS: 120, everyS: 3600, states: ['standby'] }] },
      reason: 'twoLengths',
    },
    {
      what: 'pulses of two minutes at that level every quarter of an hour',
      plan: { pulses: [{ addW: 65, onS: 120, everyS: 900, states: ['standby'] }] },
      reason: 'bandsOverlap',
    },
    { what: 'no cleanings at all', plan: { cleaningEveryH: 10_000 }, reason: 'nothingRecurs' },
  ] satisfies readonly { what: string; plan: Partial<HistoryPlan>; reason: string }[])(
    'BANDS-2 BANDS-4 with $what there is no cleaning band, and it says why',
    ({ plan, reason }) => {
      for (const times of [1, 6]) {
        const outcome = learn(plan, times)
        expect(outcome.separable ? outcome.value.cleaningW : null).toBeNull()
        expect(outcome.separable ? outcome.noCleaning : outcome.reason).toBe(reason)
      }
    },
  )

  it.each([
    { cleaningS: 300, everyS: 120 },
    { cleaningS: 200, everyS: 120 },
  ])(
    'LABEL-4 $cleaningS s are one length to a meter that is read every $everyS s',
    ({ cleaningS, everyS }) => {
      const { draws } = past({ cleaningS: [cleaningS, cleaningS], cleaningEveryH: 4.4 })
      const samples = minuteSamples(draws.filter((_, i) => i % (everyS / 10) === 0))
      const bands = bandsOf(learnPowerBands({ machineId: 'roll', samples, offBelowW: 2, isOpenAt }))
      expect(bands.cleaningW?.[0]).toBeLessThan(112)
      expect(bands.cleaningW?.[1]).toBeGreaterThan(112)
      expect(bands.printingW?.[0]).toBeGreaterThan(130)
    },
  )
  it('LABEL-5 what comes regularly in closed hours is no print, though it be no cleaning either', () => {
    // Stirred for five minutes every hour at the level of cleanings: neither can be told, and printing stands above.
    const pulses: HistoryPlan['pulses'] = [{ addW: 65, onS: 290, everyS: 3600, states: ['standby'] }]
    for (const days of [10, 14]) {
      const outcome = learn({ days, pulses, cleaningS: [400, 400] })
      if (outcome.separable) expect(outcome.value.printingW?.[0]).toBeGreaterThan(130)
    }
  })

  it('BANDS-2 a heater whose pulses reach just the level of cleanings gives right bands or none', () => {
    const pulses: HistoryPlan['pulses'] = [{ addW: 65, onS: 50, everyS: 190, states: ['standby'] }]
    let learned = 0
    for (const days of [10, 14]) {
      const outcome = learn({ days, pulses })
      if (!outcome.separable) continue
      learned++
      expect(scoreOf(outcome.value, { days, pulses }, 1)).toMatchObject({ missed: 0, invented: 0 })
    }
    expect(learned).toBeGreaterThan(0)
  })

  it('BANDS-2 a heater day and night is too much for a meter that reports each minute', () => {
    expect(learn({ pulses: [{ ...HEATER, states: ['standby', 'printing'] }] }, 6)).toMatchObject({
      separable: false,
      reason: 'bandsOverlap',
    })
  })

  it('BANDS-4 two days are too short, and a machine that only rests teaches nothing', () => {
    expect(learn({ days: 2 })).toMatchObject({ separable: false, reason: 'tooShort' })
    expect(learn({ prints: false, cleaningEveryH: 10_000 })).toMatchObject({
      separable: false,
      reason: 'nothingRecurs',
    })
    expect(learnPowerBands({ machineId: 'roll', samples: [], offBelowW: 2, isOpenAt })).toMatchObject({
      separable: false,
      reason: 'tooShort',
    })
  })
})

describe('movedFar', () => {
  const before = bandsOf(learn({}))
  const moved = (change: Partial<PowerBands>) => movedFar(before, { ...before, ...change })

  it('a band edge that moved by over a fifth waits for a person', () => {
    expect(moved({})).toBe(false)
    const [low, high] = before.standbyW
    expect(moved({ standbyW: [low, high * 1.19] })).toBe(false)
    expect(moved({ standbyW: [low, high * 1.21] })).toBe(true)
    expect(moved({ standbyW: [low * 0.79, high] })).toBe(true)
    expect(moved({ offBelowW: before.offBelowW * 1.3 })).toBe(true)
  })

  it('so does a band that came or went', () => {
    expect(moved({ cleaningW: null })).toBe(true)
    expect(movedFar({ ...before, printingW: null }, before)).toBe(true)
  })

  it('another fortnight of the same machine does not move them far', () => {
    expect(movedFar(before, bandsOf(learn({ seed: 9 })))).toBe(false)
  })
})

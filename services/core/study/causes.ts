import { benjaminiHochberg } from '../statistics/false-discovery.ts'
import type { Resampling } from '../statistics/permutation.ts'
import { atLimit, type AtLimit } from './at-limit.ts'
import { beforeClogs, type BeforeClogs } from './before-clog.ts'
import { caseCrossover } from './case-crossover.ts'
import { doseResponse, type DoseResponse } from './dose-response.ts'
import { EXPOSURES, isBeyond, type Exposure } from './exposure.ts'
import { countedNights, type CountedNight, type Series } from './nights.ts'
import { verdictOf, type Verdict } from './verdict.ts'
import { weekTest, type WeekTest } from './week-blocks.ts'

/** One exposure as the page shows it. */
export interface CauseRow {
  readonly exposure: Exposure
  readonly nights: number
  readonly clogs: number
  /** Null where no limit is set. */
  readonly atLimit: AtLimit | null
  readonly doseResponse: DoseResponse
  readonly crossover: ReturnType<typeof caseCrossover>
  readonly before: BeforeClogs
  /** By rank, without a limit; and beyond the limit. Null without resampling, clogs or limit. */
  readonly weeks: WeekTest | null
  readonly weeksAtLimit: WeekTest | null
  readonly verdict: Verdict
}

/** Every p of the page beside what it is worth for being one of many. */
export interface PageTest {
  readonly exposure: Exposure
  readonly test: 'weeks' | 'weeksAtLimit' | 'fisher' | 'pooled' | 'dose' | 'crossover' | 'before'
  /** Whether a verdict rests on it: tests that exchange whole weeks do. */
  readonly decides: boolean
  readonly p: number
  readonly correctedP: number
}

export interface CausesPage {
  readonly rows: readonly CauseRow[]
  readonly tests: readonly PageTest[]
  /** Nights on which Nightcap told somebody who did something, and what came of them: counted nowhere else. */
  readonly actedUpon: { readonly nights: number; readonly checked: number; readonly clogs: number }
}

export interface CausesOptions {
  /** The owner's limits; exposures without one are tested without. */
  readonly limits: Partial<Readonly<Record<Exposure, number>>>
  /** Null: all but what rests on resampling, and no verdict but that this cannot tell. */
  readonly resampling: Resampling | null
  /** Called with the share that is done, after each exposure. */
  readonly progress?: (share: number) => void
}

/**
 * All that the page shows, from nights that were put together before.
 *
 * CAUSES-1 An exposure that is known of no counted night has no row.
 * CAUSES-2 Tests that exchange whole weeks are corrected among themselves and decide; those that take nights to be
 *          independent are corrected among themselves and stand beside. In one list their small p-values would make
 *          the others look better than they are.
 * CAUSES-3 The verdict on an exposure rests on the smaller corrected p of its two week tests that point the same way.
 * CAUSES-4 Nights acted upon are counted apart, and nowhere else.
 */
export function causesOf(
  all: readonly Series[],
  { limits, resampling, progress }: CausesOptions,
): CausesPage {
  const drafts = EXPOSURES.flatMap((exposure, i) => {
    progress?.(i / EXPOSURES.length)
    const nights = all.map((s) => countedNights(s, exposure))
    const limit = limits[exposure] ?? null
    return nights.some((n) => n.length > 0) ? [draftOf(all, { exposure, nights, limit, resampling })] : []
  })
  const tests = correctedTests(drafts)
  return {
    rows: drafts.map((draft) => ({ ...draft, verdict: verdictFor(draft, tests) })),
    tests,
    actedUpon: actedUponOf(all),
  }
}

type Draft = Omit<CauseRow, 'verdict'> & { readonly exposedNights: number }

interface DraftOptions {
  readonly exposure: Exposure
  readonly nights: readonly (readonly CountedNight[])[]
  readonly limit: number | null
  readonly resampling: Resampling | null
}

function draftOf(all: readonly Series[], { exposure, nights, limit, resampling }: DraftOptions): Draft {
  const counted = nights.flat()
  return {
    exposure,
    nights: counted.length,
    clogs: counted.filter((n) => n.isClog).length,
    exposedNights:
      limit === null
        ? Math.floor(counted.length / 2)
        : counted.filter((n) => isBeyond(exposure, n.value, limit)).length,
    atLimit: limit === null ? null : atLimit(nights, exposure, limit),
    doseResponse: doseResponse(counted),
    crossover: caseCrossover(nights),
    before: beforeClogs(all, exposure, resampling),
    weeks: resampling && weekTest(all, { exposure, score: { kind: 'rank' } }, resampling),
    weeksAtLimit:
      limit === null || resampling === null
        ? null
        : weekTest(all, { exposure, score: { kind: 'beyond', limit } }, resampling),
  }
}

function correctedTests(drafts: readonly Draft[]): PageTest[] {
  const raw = drafts.flatMap(testsOf)
  return [true, false].flatMap((decides) => {
    const own = raw.filter((t) => t.decides === decides)
    const corrected = benjaminiHochberg(own.map((t) => t.p))
    return own.map((t, i) => ({ ...t, correctedP: corrected[i] ?? 1 }))
  })
}

function testsOf({ exposure, ...draft }: Draft): Omit<PageTest, 'correctedP'>[] {
  const { fit } = draft.doseResponse
  const list: readonly [PageTest['test'], number | null | undefined][] = [
    ['weeks', draft.weeks?.p],
    ['weeksAtLimit', draft.weeksAtLimit?.p],
    ['fisher', draft.atLimit?.fisher.pTwoSided],
    ['pooled', draft.atLimit && (draft.atLimit.exact?.pTwoSided ?? draft.atLimit.pooled.p)],
    ['dose', fit.converged ? fit.pValues[0] : null],
    ['crossover', draft.crossover.converged ? draft.crossover.p : null],
    ['before', draft.before.test?.p],
  ]
  return list.flatMap(([test, p]) =>
    typeof p === 'number' ? [{ exposure, test, decides: test.startsWith('weeks'), p }] : [],
  )
}

function verdictFor(draft: Draft, tests: readonly PageTest[]): Verdict {
  const { exposure, nights, clogs, exposedNights, weeks, weeksAtLimit } = draft
  const own = tests.filter((t) => t.exposure === exposure && t.decides)
  const candidates = own.map((t) => ({
    correctedP: t.correctedP,
    excess: (t.test === 'weeks' ? weeks?.excess : beyondExcess(exposure, weeksAtLimit)) ?? 0,
  }))
  const best = candidates.reduce<{ correctedP: number; excess: number } | null>(
    (a, b) => (a === null || b.correctedP < a.correctedP ? b : a),
    null,
  )
  return verdictOf({
    exposure,
    observed: { nights, clogs, exposedNights },
    correctedP: best?.correctedP ?? null,
    excess: best?.excess ?? 0,
    crossover: draft.crossover,
  })
}

/** Turned so that above 0 means more of the exposure, more clogs, whichever side of the limit is the harmful one. */
function beyondExcess(exposure: Exposure, test: WeekTest | null): number {
  const isHarmfulAbove = isBeyond(exposure, 1, 0)
  return (test?.excess ?? 0) * (isHarmfulAbove ? 1 : -1)
}

function actedUponOf(all: readonly Series[]): CausesPage['actedUpon'] {
  let [nights, checked, clogs] = [0, 0, 0]
  for (const { actedUpon, outcomes } of all) {
    actedUpon.forEach((acted, i) => {
      if (acted !== 1) return
      nights++
      if ((outcomes[i] ?? -1) >= 0) checked++
      if (outcomes[i] === 1) clogs++
    })
  }
  return { nights, checked, clogs }
}

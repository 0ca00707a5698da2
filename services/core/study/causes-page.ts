import type { CausesQuestion, CausesView } from '../model/causes-view.ts'
import { EXPOSURES } from '../model/night-exposure.ts'
import type { KeptVerdict } from '../model/ports/night-store.ts'
import type { Settings } from '../model/settings.ts'
import { causesOf, type CausesPage } from './causes.ts'
import { dayNumber, EXPOSURE_KINDS } from './exposure.ts'
import { fingerprint } from './fingerprint.ts'
import { confirm } from './frozen-verdict.ts'
import { nightModelVersion } from './night-exposure.ts'
import { nightsBetween, type Series } from './nights.ts'
import { pageLimits } from './page-limits.ts'
import { proposals } from './proposals.ts'
import { checkedNights, dateOf, rowView } from './row-view.ts'
import { nightsToSeeDoubling } from './sample-size.ts'
import type { ShopSeries } from './shop-series.ts'
import { clogsText } from './verdict.ts'

/** How often weeks are exchanged: p is told in steps of one in two thousand. */
export const DRAWS = 1999

export interface PageMaterial {
  readonly shop: ShopSeries
  readonly settings: Settings
  readonly frozen: readonly KeptVerdict[]
  readonly question: CausesQuestion
  readonly nowMs: number
  readonly progress?: (share: number) => void
}

/**
 * The page Causes.
 *
 * PAGE-1 the same nights, checks and limits give the same page: chance is drawn from a seed that they make.
 * PAGE-2 frozen verdicts are those of the whole shop, and held against all nights that came after, whatever is asked for.
 * PAGE-3 the headline names what is claimed and nothing else; where nothing is, it says how far the numbers reach.
 */
export function causesPage(material: PageMaterial): CausesView {
  const { shop, settings, question, nowMs, progress } = material
  const all = asked(shop, question)
  const seed = fingerprint(all)
  const resampling = { draws: DRAWS, seed }
  const inkOf = inksOf(shop, settings)
  const limits = pageLimits(settings.limits, !all.some((s) => inkOf(s.channelGroupId) !== 'white'))
  const page = causesOf(all, {
    limits: Object.fromEntries(EXPOSURES.map((e) => [e, limits[e].value])),
    resampling,
    progress: (share) => progress?.(0.7 * share),
  })
  const nameOf = namesOf(shop, settings)
  return {
    computedMs: nowMs,
    question,
    modelVersion: nightModelVersion(settings.limits),
    nights: nightsRange(all),
    headline: headlineOf(page, all),
    counts: countsOf(shop, all, page),
    resampling,
    rows: page.rows.map((row) => rowView(row, { all, nameOf, limit: limits[row.exposure] })),
    tests: [...page.tests],
    proposals: proposals(all, {
      limits: settings.limits,
      inkOf,
      resampling,
      progress: (share) => progress?.(0.7 + 0.25 * share),
    }),
    frozen: frozenOf(material, resampling),
  }
}

/**
 * The verdicts that a page of all nights before `fromDay` would give, to be kept.
 *
 * FREEZE-1 Of the nights that follow it knows nothing. A page that is computed once a month, on whole months, gives fewer
 *          chances to be fooled than one that is looked at until it claims something.
 */
export function verdictsToFreeze(shop: ShopSeries, settings: Settings, fromDay: number): CausesPage['rows'] {
  const all = nightsBetween(shop.series, -Infinity, fromDay)
  const inkOf = inksOf(shop, settings)
  const limits = pageLimits(settings.limits, !all.some((s) => inkOf(s.channelGroupId) !== 'white'))
  return causesOf(all, {
    limits: Object.fromEntries(EXPOSURES.map((e) => [e, limits[e].value])),
    resampling: { draws: DRAWS, seed: fingerprint(all) },
  }).rows
}

/** Series within the question, in days. */
function asked({ series, names }: ShopSeries, { from, to, machineId }: CausesQuestion): Series[] {
  const own = series.filter((s) => machineId === null || names.get(s.channelGroupId)?.machineId === machineId)
  return nightsBetween(
    own,
    from === null ? -Infinity : dayNumber('from', from),
    to === null ? Infinity : dayNumber('to', to) + 1,
  )
}

function inksOf({ names }: ShopSeries, { machines }: Settings): (id: string) => 'colour' | 'white' | null {
  const inks = new Map(
    machines.flatMap((m) => m.heads.flatMap((h) => h.channelGroups.map((g) => [g.id, g.ink]))),
  )
  return (id) => inks.get(names.get(id)?.channelGroupId ?? '') ?? null
}

function namesOf({ names }: ShopSeries, { machines }: Settings): (id: string) => string {
  return (id) => {
    const name = names.get(id)
    if (!name) return id
    const machine = machines.find((m) => m.id === name.machineId)
    const group = machine?.heads.flatMap((h) => h.channelGroups).find((g) => g.id === name.channelGroupId)
    return `${group?.title ?? name.channelGroupId}, ${machine?.title ?? name.machineId}`
  }
}

function nightsRange(all: readonly Series[]): CausesView['nights'] {
  const first = Math.min(...all.map((s) => s.days[0] ?? Infinity))
  const last = Math.max(...all.map((s) => s.days.at(-1) ?? -Infinity))
  return Number.isFinite(first) ? { first: dateOf(first), last: dateOf(last) } : null
}

function countsOf(shop: ShopSeries, all: readonly Series[], page: CausesPage): CausesView['counts'] {
  return {
    channelGroups: all.length,
    nights: all.reduce((n, s) => n + s.days.length, 0),
    counted: checkedNights(all),
    clogs: clogsIn(all),
    unchecked: all.reduce((n, s) => n + s.outcomes.filter((o) => o < 0).length, 0),
    checks: shop.checks,
    onSuspicion: shop.onSuspicion,
    checksLeftOut: { ...shop.left },
    actedUpon: { ...page.actedUpon },
  }
}

function clogsIn(all: readonly Series[]): number {
  return all.reduce((n, s) => n + s.outcomes.filter((o, i) => o === 1 && s.actedUpon[i] !== 1).length, 0)
}

function headlineOf(page: CausesPage, all: readonly Series[]): string {
  const counted = checkedNights(all)
  const clogs = clogsIn(all)
  if (all.length === 0) {
    return 'There is nothing to look at yet: no night has ended since the machines and their opening hours were set up.'
  }
  if (counted === 0) {
    return 'Nothing can be said yet: no night has a nozzle check after it. Log a check each morning, also when all is well.'
  }
  const claims = page.rows.filter((r) => r.verdict.direction !== 0)
  if (claims.length > 0) return claimsText(claims, { clogs, counted })
  return (
    nearestAnswer(page.rows)?.verdict.text ??
    `${clogsText(clogs)} in ${counted} checked nights, but of none of these nights is anything known: no sensor told of it.`
  )
}

/** The exposure that would be answered first: of those that are known of the most nights, the fewest more to come. */
function nearestAnswer(rows: CausesPage['rows']): CausesPage['rows'][number] | undefined {
  const most = Math.max(...rows.map((r) => r.nights))
  const needed = ({ nights, clogs, atLimit }: CausesPage['rows'][number]): number => {
    const exposedNights = atLimit
      ? atLimit.table.exposedHits + atLimit.table.exposedMisses
      : Math.floor(nights / 2)
    return nightsToSeeDoubling({ nights, clogs, exposedNights }) ?? Infinity
  }
  return rows
    .filter((r) => r.nights === most)
    .map((row) => ({ row, needed: needed(row) }))
    .sort((a, b) => a.needed - b.needed)[0]?.row
}

/** One claim in its own words; several in one sentence, and what each of them lacks stands where it is told. */
function claimsText(
  claims: CausesPage['rows'],
  { clogs, counted }: { readonly clogs: number; readonly counted: number },
): string {
  const [only, ...others] = claims
  if (only && others.length === 0) return only.verdict.text
  const named = claims.map(({ verdict: { exposure, direction } }) => {
    const { more, less } = EXPOSURE_KINDS[exposure]
    return direction === 1 ? more : less
  })
  const list = `${named.slice(0, -1).join(', ')} and ${named.at(-1) ?? ''}`
  return `New clogs came more often after nights with ${list} (${clogsText(clogs)} in ${counted} checked nights). That does not yet show the cause.`
}

function frozenOf(
  { shop, frozen }: PageMaterial,
  resampling: { readonly draws: number; readonly seed: number },
): CausesView['frozen'] {
  return frozen.map(({ month, fromDay, frozenMs, modelVersion, verdict }) => ({
    month,
    frozenMs,
    modelVersion,
    verdict,
    confirmation: confirm(shop.series, { verdict, fromDay }, resampling),
  }))
}

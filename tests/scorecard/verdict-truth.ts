import { clogsOn, isClaiming, namesDryness, pageOf } from './clog-pages.ts'
import type { ClogShop } from './clog-shops.ts'

export interface NullScore {
  readonly pages: number
  readonly claiming: number
  readonly meanClogs: number
}

/** Pages of shops in which nothing goes with anything: how many claim something all the same? */
export function scoreNullPages(
  pages: number,
  { draws, seed }: { readonly draws: number; readonly seed: number },
): NullScore {
  let [claiming, clogs] = [0, 0]
  for (let i = 0; i < pages; i++) {
    const page = pageOf(shopOf(i, { seed: seed + i, dryFactor: 1 }), draws)
    if (isClaiming(page)) claiming++
    clogs += clogsOn(page)
  }
  return { pages, claiming, meanClogs: clogs / pages }
}

export interface PowerRow {
  readonly pages: number
  readonly meanClogs: number
  readonly found: number
}

/** Shops in which each standard deviation towards dry makes clogs `dryFactor` times as probable. */
export function scorePower(
  pages: number,
  {
    draws,
    seed,
    clogShare,
    dryFactor,
  }: {
    readonly draws: number
    readonly seed: number
    readonly clogShare: number
    readonly dryFactor: number
  },
): PowerRow {
  let [found, clogs] = [0, 0]
  for (let i = 0; i < pages; i++) {
    const page = pageOf({ machines: 2, days: 365, clogShare, dryFactor, seed: seed + i }, draws)
    if (namesDryness(page)) found++
    clogs += clogsOn(page)
  }
  return { pages, meanClogs: clogs / pages, found }
}

/** One to three machines, half a year to a year and a half, few clogs to many. */
function shopOf(
  i: number,
  { seed, dryFactor }: { readonly seed: number; readonly dryFactor: number },
): ClogShop {
  return {
    machines: 1 + (i % 3),
    days: [180, 365, 540][Math.floor(i / 3) % 3] ?? 365,
    clogShare: [0.01, 0.02, 0.04][Math.floor(i / 9) % 3] ?? 0.02,
    dryFactor,
    seed,
  }
}

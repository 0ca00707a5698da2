import { PROPOSED_LIMITS, type CausesView, type ProposedLimit } from '../model/causes-view.ts'
import type { Limits } from '../model/settings.ts'
import { benjaminiHochberg } from '../statistics/false-discovery.ts'
import type { Resampling } from '../statistics/permutation.ts'
import { EXPOSURE_KINDS, isBeyond } from './exposure.ts'
import { chooseLimit, judgedMonthsAt, type LimitChoice, type NoChoice } from './limit-choice.ts'
import type { Series } from './nights.ts'
import { PROPOSABLE } from './page-limits.ts'
import { CLAIM_P } from './verdict.ts'

type Proposal = CausesView['proposals'][number]

export interface ProposalMaterial {
  readonly limits: Limits
  readonly inkOf: (channelGroupId: string) => 'colour' | 'white' | null
  readonly resampling: Resampling
  readonly progress?: (share: number) => void
}

/**
 * Better limits, for those in the settings that a night's exposure can speak for.
 *
 * PROPOSE-1 each is chosen on some months and judged on the others (CHOICE-1); the judged p is corrected over all that
 *           are judged, and only then said to be borne out.
 * PROPOSE-2 what holds today is counted over the same judged months, so that both can be laid side by side.
 * PROPOSE-3 dose is chosen for each ink by itself, and only where there is such an ink.
 */
export function proposals(all: readonly Series[], material: ProposalMaterial): Proposal[] {
  const drafts = PROPOSED_LIMITS.flatMap((of, i) => {
    material.progress?.(i / PROPOSED_LIMITS.length)
    const { exposure, ink } = PROPOSABLE[of]
    const own = ink === null ? all : all.filter((s) => material.inkOf(s.channelGroupId) === ink)
    if (own.length === 0) return []
    return [{ of, own, choice: chooseLimit(own, exposure, material.resampling) }]
  })
  const judged = drafts.flatMap(({ choice }) =>
    'limit' in choice && choice.judgedWeeks ? [choice.judgedWeeks.p] : [],
  )
  const corrected = benjaminiHochberg(judged)
  let at = 0
  return drafts.map(({ of, own, choice }) => {
    const p = 'limit' in choice && choice.judgedWeeks ? (corrected[at++] ?? 1) : null
    return proposal(of, { own, choice, p, limits: material.limits })
  })
}

interface Judged {
  readonly own: readonly Series[]
  readonly choice: LimitChoice | NoChoice
  readonly p: number | null
  readonly limits: Limits
}

function proposal(of: ProposedLimit, { own, choice, p, limits }: Judged): Proposal {
  const { exposure, now } = PROPOSABLE[of]
  const held = now(limits)
  if (!('limit' in choice)) return { of, now: held, better: null, text: NO_CHOICE[choice.reason] }
  const { limit, limitsTried, chosenP, clogsCaught, clogsMissed, falseAlarms, alarmsAMonth, judgedWeeks } =
    choice
  const excess = judgedWeeks?.excess ?? 0
  const isBorneOut = p !== null && p <= CLAIM_P && excess > 0
  return {
    of,
    now: held,
    better: {
      limit,
      limitsTried,
      chosenP,
      judgedP: p,
      isBorneOut,
      clogsCaught,
      clogsMissed,
      falseAlarms,
      alarmsAMonth,
      today: judgedMonthsAt(own, exposure, held),
    },
    text: proposalText({ limit, held, isBorneOut, isStricter: isBeyond(exposure, held, limit) }, of),
  }
}

const NO_CHOICE: Readonly<Record<NoChoice['reason'], string>> = {
  tooFewClogs:
    'No limit is proposed: it takes five clogs in the months to choose from, and five in the others.',
  oneMonth: 'No limit is proposed: one month alone leaves nothing to judge it on.',
  noneHarmful: 'No limit is proposed: none has more clogs on its harmful side.',
}

function proposalText(
  {
    limit,
    held,
    isBorneOut,
    isStricter,
  }: { limit: number; held: number; isBorneOut: boolean; isStricter: boolean },
  of: ProposedLimit,
): string {
  const { unit: symbol } = EXPOSURE_KINDS[PROPOSABLE[of].exposure]
  const unit = symbol === 'degC' ? '°C' : symbol
  if (!isBorneOut) {
    return `${limit} ${unit} did best in the months it was chosen from. The other months do not bear it out: keep ${held} ${unit}.`
  }
  if (limit === held) return `${held} ${unit}, as it is now, did best, and the other months bear it out.`
  const way = isStricter ? 'earlier, and more often, than now' : 'later, and less often, than now'
  return `${limit} ${unit} did best, and the other months bear it out. It would tell ${way}.`
}

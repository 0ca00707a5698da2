import { doseLimitKpaH } from '../detect/head-drying.ts'
import type { InkAhead, MachineNight } from '../forecast/machine-night.ts'
import { clockText } from '../model/clock-text.ts'
import type { InkView } from '../model/views.ts'
import { doseKpaH, inkOf, type InkFacts } from '../track/drying.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'

/** The inks of a machine, as far as they are known now, and ahead. */
export function inkViews(
  facts: MachineFacts,
  context: SubjectContext,
  { nowMs, night }: { nowMs: number; night: MachineNight | null },
): InkView[] {
  const { settings, subject } = context
  const heads = settings.machines.find((m) => m.id === subject.id)?.heads ?? []
  return heads
    .filter((h) => h.removedOn === undefined)
    .flatMap((head) =>
      head.channelGroups
        .filter(({ id }) => facts.drying.inks[id] !== undefined)
        .map((group): InkView => {
          const limitKpaH = doseLimitKpaH(context, group.id)
          const dose = doseKpaH(facts.drying, group.id, nowMs)
          const ink = inkOf(facts.drying, group.id)
          const usedPct = rounded((dose / limitKpaH) * 100)
          return {
            channelGroupId: group.id,
            headTitle: head.title,
            title: group.title,
            ink: group.ink,
            doseKpaH: rounded(dose),
            limitKpaH,
            usedPct,
            basis: ink.basis,
            lastWettedMs: ink.wettedMs,
            words: freshnessWords(ink, usedPct, { timeZone: settings.site.timeZone, nowMs }),
            runs: runsOf(ink, limitKpaH, { nowMs, dose }),
            ...aheadOf(
              night?.inks.find((i) => i.groupId === group.id),
              limitKpaH,
            ),
          }
        }),
    )
}

function aheadOf(
  ahead: InkAhead | undefined,
  limitKpaH: number,
): Pick<InkView, 'ahead' | 'passesLimit' | 'probabilityBeforeOpening'> {
  if (!ahead) return { ahead: [], passesLimit: null, probabilityBeforeOpening: null }
  const pct = (kpaH: number): number => rounded((kpaH / limitKpaH) * 100)
  return {
    ahead: ahead.dose.band.map(([atMs, p10, p50, p90]) => [Math.round(atMs), pct(p10), pct(p50), pct(p90)]),
    passesLimit: ahead.dose.passesLimit,
    probabilityBeforeOpening: ahead.certain ? ahead.dose.probability : null,
  }
}

function runsOf(
  { trace }: InkFacts,
  limitKpaH: number,
  now: { nowMs: number; dose: number },
): [number, number][][] {
  const points = [...trace, [now.nowMs, now.dose] as const].filter(([atMs]) => atMs <= now.nowMs)
  return [points.map(([atMs, kpaH]) => [Math.round(atMs), rounded((kpaH / limitKpaH) * 100)])]
}

/** "Fresh: seen to be wetted at 14:05." One line that can be read aloud. */
function freshnessWords(
  { basis, wettedMs }: InkFacts,
  usedPct: number,
  clock: { timeZone: string; nowMs: number },
): string {
  const state =
    usedPct < 50 ? 'Fresh' : usedPct < 90 ? 'Drying' : usedPct < 100 ? 'Close to its limit' : 'Past its limit'
  const when = wettedMs === null ? '' : clockText(wettedMs, clock)
  switch (basis) {
    case 'seen':
      return `${state}: the machine cleaned or printed at ${when}.`
    case 'logged':
      return `${state}: wetted at ${when}, says the log.`
    case 'assumed':
      return `${state}, if it cleaned itself at ${when} as it was told to. Nobody can see that.`
    case 'unknown':
      return `Not known: nobody saw when it was last wetted. Since it is watched it used ${Math.round(usedPct)} %.`
  }
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10
}

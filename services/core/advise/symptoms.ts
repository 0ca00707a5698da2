import { clockText, durationText } from '../model/clock-text.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { Routine } from '../model/routine.ts'
import type { Machine, Settings } from '../model/settings.ts'
import type { Symptom } from '../model/symptom.ts'
import { affectedMachines } from '../assess/affected-machines.ts'
import { READY_MADE_ROUTINES } from './routines/ready-made.ts'
import { routinesOf } from './routines/routines-of.ts'

interface SymptomAdvice {
  /** What a person sees, in their words. */
  readonly title: string
  /** What is looked at first because of it, and why that. Common practice, no source. */
  readonly reason: string
  /** The routine that says how. */
  readonly routineId: string
}

/** What people see, and what is looked at first. Common practice, no source; the machine's manual goes first. */
export const SYMPTOM_ADVICE: Readonly<Record<Symptom, SymptomAdvice>> = {
  marksOnFilm: {
    title: 'Marks on the film',
    reason:
      'Marks that come again and again along the film come from the pinch rollers more often than from anything else.',
    routineId: 'pinch-rollers',
  },
  startsInWrongPlace: {
    title: 'The carriage stops or starts in the wrong place',
    reason:
      'The carriage reads its place from the encoder strip. A dirty strip, and it no longer knows where to start and stop.',
    routineId: 'encoder-strip',
  },
  carriageRough: {
    title: 'The carriage runs roughly',
    reason: 'Dry or dusty rails make the carriage drag.',
    routineId: 'grease-rails',
  },
  whiteBuildUp: {
    title: 'White builds up around the head',
    reason: 'What builds up beside the head touches the film, and keeps the cap from sealing.',
    routineId: 'around-head',
  },
  missingNozzles: {
    title: 'Nozzles are missing',
    reason: 'Ink dries at the nozzles. Below stands what the last days did to it.',
    routineId: 'missing-nozzles',
  },
}

/** The check that a symptom asks for: the owner's form of it where the owner changed it, switched off or not. */
export function checkOf(symptom: Symptom, settings: Settings): Routine {
  const { routineId } = SYMPTOM_ADVICE[symptom]
  const found = [...routinesOf(settings), ...READY_MADE_ROUTINES].find(
    (r) => r.id === routineId && r.forEach === 'machine',
  )
  if (!found)
    throw new RangeError(`the symptom ${symptom} names the routine ${routineId}, which there is not`)
  return found
}

/** How far back missing nozzles are explained: over a weekend, and the days before it. */
export const STORY_MS = 4 * 86_400_000

const TOLD: Partial<Record<Condition, (told: { hours: string; worst: number | null }) => string>> = {
  airDry: ({ hours, worst }) =>
    `The air was dry for ${hours}${worst === null ? '' : `, ${Math.round(worst)} %RH at its driest`}.`,
  headDrying: ({ hours }) => `Its ink was past the drying limit for ${hours}.`,
  offItsCap: ({ hours }) => `The head was off its cap, or probably, for ${hours}.`,
  powerLost: ({ hours }) => `The machine was without power for ${hours}, and did not clean itself.`,
  notCleaning: ({ hours }) => `No cleaning was seen when one was due, for ${hours}.`,
  idleTooLong: ({ hours }) => `Its white ink stood still too long, by ${hours}.`,
  sensorSilent: ({ hours }) => `A sensor was silent for ${hours}: what happened then is not known.`,
  monitorDark: ({ hours }) => `The monitor was dark for ${hours}: what happened then is not known.`,
}
/** A machine that is left off and one that lost its power stood dark alike; so for the degrees of dry air. */
const SAME_AS: Partial<Record<Condition, Condition>> = {
  airVeryDry: 'airDry',
  leftOff: 'powerLost',
  mainsLost: 'powerLost',
}

/**
 * What the last days did to the ink of a machine, as sentences, the longest first.
 *
 * STORY-1 times of one kind that overlap count once.
 * STORY-2 a story without a trouble says so, and says what is not measured: that nothing was seen is not that nothing was.
 */
export function dryingStory({
  machine,
  settings,
  episodes,
  nowMs,
}: {
  readonly machine: Machine
  readonly settings: Settings
  readonly episodes: readonly Episode[]
  readonly nowMs: number
}): readonly string[] {
  const fromMs = nowMs - STORY_MS
  const own = episodes.filter(
    (e) =>
      e.condition === 'monitorDark' || affectedMachines(e.subject, settings).some((m) => m.id === machine.id),
  )
  const kinds = new Map<Condition, Episode[]>()
  for (const e of own) {
    const kind = SAME_AS[e.condition] ?? e.condition
    if (TOLD[kind]) kinds.set(kind, [...(kinds.get(kind) ?? []), e])
  }
  const told = [...kinds]
    .map(([kind, all]) => ({ kind, all, ms: coveredMs(all, { fromMs, nowMs }) }))
    .filter(({ ms }) => ms >= 60_000)
    .sort((a, b) => b.ms - a.ms || (a.kind < b.kind ? -1 : 1))
    .map(({ kind, all, ms }) => sentenceOf(kind, all, { ms, settings, nowMs }))
  return told.length > 0 ? told : [nothingSeen(machine, settings)]
}

function sentenceOf(
  kind: Condition,
  all: readonly Episode[],
  { ms, settings, nowMs }: { ms: number; settings: Settings; nowMs: number },
): string {
  const worsts = all.flatMap((e) => (e.worst === null ? [] : [e.worst]))
  const sentence = TOLD[kind]?.({
    hours: durationText(ms),
    worst: worsts.length === 0 ? null : Math.min(...worsts),
  })
  const last = Math.max(...all.map((e) => e.fromMs))
  const since = clockText(last, { timeZone: settings.site.timeZone, nowMs })
  return `${sentence ?? ''} It last began ${since}.`
}

function coveredMs(all: readonly Episode[], { fromMs, nowMs }: { fromMs: number; nowMs: number }): number {
  const spans = all
    .map((e) => [Math.max(e.fromMs, fromMs), Math.min(e.toMs ?? nowMs, nowMs)] as const)
    .sort((a, b) => a[0] - b[0])
  let covered = 0
  let through = -Infinity
  for (const [from, to] of spans) {
    covered += Math.max(0, to - Math.max(from, through))
    through = Math.max(through, to)
  }
  return covered
}

function nothingSeen(machine: Machine, settings: Settings): string {
  const measures = (quantity: string, id: string): boolean =>
    settings.sensors.some((s) => s.quantity === quantity && s.subject.id === id)
  const gaps = [
    ...(measures('humidity', machine.room) ? [] : ['the humidity of its room']),
    ...(measures('power', machine.id) || measures('powered', machine.id) ? [] : ['its power']),
  ]
  const days = Math.round(STORY_MS / 86_400_000)
  const seen = `In the last ${days} days nothing was seen that dries its ink.`
  return gaps.length === 0
    ? seen
    : `${seen} Nobody measures ${gaps.join(' and ')}, so much may have gone unseen.`
}

import { troubleText } from '../alarms/telling/trouble-text.ts'
import type { Alarm } from '../model/alarm.ts'
import { durationText } from '../model/clock-text.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { MorningLine, MorningView } from '../model/morning.ts'
import type { Settings } from '../model/settings.ts'
import type { Task } from '../model/task.ts'
import { measuredLines, unheardIn, type MeasuredNight } from './morning-measured.ts'
import { nightClock, type Night } from './morning-nights.ts'

/** Somebody was told by a channel that took it, or somebody answered an alarm. */
export interface MorningWord {
  readonly atMs: number
  /** Null: somebody whose name is not known any more. */
  readonly name: string | null
}

/** All that the report is made of; the shell reads it from the book of record. */
export interface MorningMaterial extends MeasuredNight {
  readonly nowMs: number
  readonly settings: Settings
  readonly night: Night
  readonly earlier: readonly string[]
  /** Episodes that touch the night. */
  readonly episodes: readonly Episode[]
  /** Alarms that changed in the night or are not normal now. */
  readonly alarms: readonly Alarm[]
  readonly told: readonly MorningWord[]
  readonly answered: readonly (MorningWord & { readonly alarmId: string })[]
  readonly openTasks: readonly Task[]
}

const UNKNOWNS: ReadonlySet<Condition> = new Set([
  'sensorSilent',
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
  'readingsMissing',
  'clockAhead',
  'monitorDark',
])

/**
 * The night as one person tells it to another. Pure: the same material gives the same report.
 *
 * MORNING-1 what happened stands in order of time, each trouble once however often it came and went.
 * MORNING-2 who was told and who answered stands where it happened.
 * MORNING-3 what was over before anybody answered is told as over by itself.
 * MORNING-4 what could not be seen stands apart from what happened, and a night with such a gap is not called quiet; nor
 *           is one in which something that should be measured said nothing.
 * MORNING-5 a night in which nothing happened is one calm sentence.
 * MORNING-6 what was taken back, since it turned out otherwise, is not told as if it had been.
 * MORNING-7 what a planned quiet covered is told as such, and not counted among what happened.
 */
export function morningView(material: MorningMaterial): MorningView {
  const { nowMs, settings, night, earlier, alarms, openTasks } = material
  const episodes = material.episodes.filter((e) => !isTakenBack(e, alarms))
  const planned = episodes.filter((e) => isPlanned(e, alarms))
  const troubles = episodes.filter((e) => !UNKNOWNS.has(e.condition) && !planned.includes(e))
  const unknown = troubleLines(
    episodes.filter((e) => UNKNOWNS.has(e.condition) && !planned.includes(e)),
    material,
  )
  const lines = [
    ...troubleLines(troubles, material),
    ...troubleLines(planned, material).map((l) => ({ ...l, text: `${l.text} A planned quiet covered it.` })),
    ...wordLines(material),
  ].sort((a, b) => a.atMs - b.atMs)
  const unseen = alarms.filter((a) => a.state === 'returnedUnacknowledged')
  return {
    nowMs,
    timeZone: settings.site.timeZone,
    night: { ...night },
    earlier: [...earlier],
    sentence: sentenceOf(countTroubles(troubles), unknown.length + unheardIn(material), material),
    lines,
    unknown,
    measured: [...measuredLines(material)],
    tasks: openTasks.map(({ id, title }) => ({ id, title })),
    unseen: unseen.map((a) => ({ id: a.id, title: troubleText(a, settings) })),
    machines: settings.machines.map(({ id, title, heads }) => ({
      id,
      title,
      groups: heads
        .filter((h) => h.removedOn === undefined)
        .flatMap((h, _, all) =>
          h.channelGroups.map((c) => ({
            id: c.id,
            title: all.length > 1 ? `${c.title} (${h.title})` : c.title,
          })),
        ),
    })),
  }
}

function isTakenBack({ id }: Episode, alarms: readonly Alarm[]): boolean {
  return alarms.some((a) => a.revision === 'withdrawn' && a.episodeIds.includes(id))
}

function isPlanned({ id }: Episode, alarms: readonly Alarm[]): boolean {
  return alarms.some((a) => a.quiet !== null && a.episodeIds.includes(id))
}

const sameTrouble = ({ condition, subject }: Episode): string => `${condition}|${subject.kind}:${subject.id}`

function countTroubles(episodes: readonly Episode[]): number {
  return new Set(episodes.map(sameTrouble)).size
}

function troubleLines(episodes: readonly Episode[], material: MorningMaterial): MorningLine[] {
  const groups = new Map<string, Episode[]>()
  for (const e of episodes) groups.set(sameTrouble(e), [...(groups.get(sameTrouble(e)) ?? []), e])
  return [...groups.values()].map((group) => troubleLine(group, material)).sort((a, b) => a.atMs - b.atMs)
}

function troubleLine(group: readonly Episode[], material: MorningMaterial): MorningLine {
  const { settings, alarms, night } = material
  const first = group.reduce((a, b) => (b.fromMs < a.fromMs ? b : a))
  const alarm = alarms.find((a) => group.some((e) => a.episodeIds.includes(e.id)))
  const what = troubleText({ ...first, rootKey: alarm?.rootKey ?? '', title: alarm?.title ?? '' }, settings)
  const at = (ms: number): string => nightClock(ms, night, settings.site.timeZone)
  const from = first.fromMs < night.fromMs ? 'already at closing' : `from ${at(first.fromMs)}`
  const open = group.some((e) => e.toMs === null || e.toMs > night.toMs)
  const lastMs = Math.max(...group.map((e) => e.toMs ?? night.toMs))
  const times = group.length > 1 ? `, ${group.length} times` : ''
  const until = open
    ? runs(material)
      ? ' It is not over.'
      : ' It was not over when the night ended.'
    : ` Over at ${at(lastMs)}${byItself(alarm)}${group.length > 1 ? '' : `, after ${durationText(lastMs - first.fromMs)}`}.`
  return { atMs: Math.max(first.fromMs, night.fromMs), text: `${what}, ${from}${times}.${until}` }
}

/** Is the night that is told of still under way? */
function runs({ night, nowMs }: MorningMaterial): boolean {
  return night.toMs >= nowMs
}

function byItself(alarm: Alarm | undefined): string {
  return alarm && alarm.returnedMs !== null && alarm.acknowledged === null ? ' by itself' : ''
}

function wordLines({ told, answered, alarms, settings, night }: MorningMaterial): MorningLine[] {
  const at = (ms: number): string => nightClock(ms, night, settings.site.timeZone)
  const who = (name: string | null): string => name ?? 'Somebody'
  return [
    ...told.map(({ atMs, name }) => ({ atMs, text: `${who(name)} was told at ${at(atMs)}.` })),
    ...answered.map(({ atMs, name, alarmId }) => {
      const alarm = alarms.find((a) => a.id === alarmId)
      const about = alarm ? ` (${troubleText(alarm, settings)})` : ''
      return { atMs, text: `${who(name)} answered at ${at(atMs)}${about}.` }
    }),
  ]
}

function sentenceOf(troubles: number, gaps: number, material: MorningMaterial): string {
  const { settings } = material
  const now = runs(material)
  const name = settings.hours.weekly.length === 0 ? 'The last twelve hours' : 'The night'
  const many = settings.hours.weekly.length === 0
  if (troubles > 0) {
    const things = troubles === 1 ? 'One thing' : `${troubles} things`
    return `${things} happened ${many ? 'in the last twelve hours' : now ? 'so far tonight' : 'in the night'}.`
  }
  if (gaps > 0) return `Nothing is known to have happened, but not all of ${name.toLowerCase()} was seen.`
  return `${name} ${many ? 'were' : now ? 'is' : 'was'} quiet${now && !many ? ' so far' : ''}.`
}

import type { Alarm } from '../model/alarm.ts'
import { clockText, durationText } from '../model/clock-text.ts'
import type { Condition, Episode } from '../model/episode.ts'
import type { Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'

/** What makes an episode an alarm (ISA-18.2): a cause, a consequence, an action and a time to act. */
export type AlarmReason = Pick<Alarm, 'urgency' | 'title' | 'cause' | 'consequence' | 'action' | 'timeToAct'>

export interface ReasonContext {
  readonly settings: Settings
  readonly nowMs: number
}

/** Trade facts in these texts are common practice, no source, unless one is named; the machine's manual goes first. */
export function alarmReason(episode: Episode, context: ReasonContext): AlarmReason {
  return REASONS[episode.condition](episode, context)
}

/** One outage, one alarm: episodes of one root share it. Sensors of one node that fall silent are one root. */
export function rootKeyOf({ condition, subject }: Episode): string {
  if (condition === 'sensorSilent') return `sensorSilent|node:${subject.id.split('/')[0] ?? subject.id}`
  return `${condition}|${subject.kind}:${subject.id}`
}

const REASONS: Record<Condition, (episode: Episode, context: ReasonContext) => AlarmReason> = {
  airDry: (episode, { settings, nowMs }) => {
    const { openBelow } = settings.limits.airDryPct
    return {
      urgency: episode.shopClosed ? 'beforeOpening' : 'today',
      title: `The air in ${titleOf(episode.subject, settings)} is too dry`,
      cause: `Humidity fell to ${round(episode.value)} %RH; it has been below ${openBelow} %RH since ${since(episode, settings, nowMs)}.`,
      consequence:
        'Water-based ink dries at the nozzles, white ink first. Nozzles go missing, some for good.',
      action:
        'Bring the humidity back to 40 to 60 %RH: fill and start the humidifier, shut doors and windows.',
      timeToAct: 'Before the heads stand through the next closed hours.',
    }
  },
  powerLost: (episode, { settings, nowMs }) => {
    const title = titleOf(episode.subject, settings)
    return {
      urgency: episode.shopClosed ? 'now' : 'today',
      title: episode.shopClosed ? `${title} lost power while the shop is closed` : `${title} is off`,
      cause: `No power at the machine since ${since(episode, settings, nowMs)}.`,
      consequence:
        'A machine that is off cannot clean its heads. If it stopped while printing, the head may be off its cap and dries far faster.',
      action:
        'Find out why it is off. If a breaker tripped or anything is wet, leave it off and call an electrician.',
      timeToAct: episode.shopClosed ? 'Now: an uncapped head can dry within hours.' : 'Before closing.',
    }
  },
  bottleNear: (episode, { settings }) => ({
    urgency: episode.shopClosed ? 'beforeOpening' : 'today',
    title: `${titleOf(episode.subject, settings)} is nearly full`,
    cause: `The scale says ${round(episode.value)} % of its capacity; the mark is at ${settings.limits.bottleNearPct.openAbove} %.`,
    consequence: 'An overfull bottle puts ink on the floor and into the machine.',
    action: 'Empty the bottle. Dispose of waste ink by your local rules.',
    timeToAct: 'Before it reaches its capacity; each cleaning adds to it.',
  }),
  sensorSilent: (episode, { settings, nowMs }) => {
    const node = episode.subject.id.split('/')[0] ?? ''
    const title = settings.nodes.find((n) => n.id === node)?.title ?? node
    return {
      urgency: 'today',
      title: `${title} has gone silent`,
      cause: `Nothing heard since ${since(episode, settings, nowMs)}, ${durationText(Math.max(0, nowMs - episode.fromMs))} ago.`,
      consequence:
        'What it measured is now unknown, and unknown is not fine: dry air or a full bottle would go unseen.',
      action: 'See whether the sensor has power and reaches the network.',
      timeToAct: 'Today, and before closing.',
    }
  },
}

/** The owner's name for a subject. */
export function titleOf(subject: Subject, settings: Settings): string {
  const lists: Partial<Record<Subject['kind'], readonly { id: string; title?: string | undefined }[]>> = {
    room: settings.rooms,
    machine: settings.machines,
    bottle: settings.bottles,
    node: settings.nodes,
    sensor: settings.sensors,
  }
  return lists[subject.kind]?.find((s) => s.id === subject.id)?.title ?? subject.id
}

function since(episode: Episode, { site }: Settings, nowMs: number): string {
  return clockText(episode.fromMs, { timeZone: site.timeZone, nowMs })
}

function round(value: number | null): string {
  return value === null ? '?' : String(Math.round(value))
}

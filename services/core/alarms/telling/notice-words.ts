import type { Alarm } from '../../model/alarm.ts'
import { clockText, durationText } from '../../model/clock-text.ts'
import type { Settings } from '../../model/settings.ts'
import { troubleText } from './trouble-text.ts'
import type { NextAsked, Tell } from './ask.ts'

/** Titles and texts of what people get. Nothing here tells anybody to bring power back, or calls a place safe. */
export interface NoticeWords {
  readonly title: string
  readonly body: string
}

export interface AskingMaterial {
  readonly kind: Tell['kind']
  /** Alarms that still call, the most urgent first; at least one. */
  readonly alarms: readonly Alarm[]
  readonly many: boolean
  readonly settings: Settings
  readonly nowMs: number
  /** Can this contact's answer reach the shop? */
  readonly proven: boolean
  /** Who is asked next, and when, if nobody answers. */
  readonly next: NextAsked | null
}

const BEGINNINGS = { alarm: '', reminder: 'Still open: ', escalation: 'Nobody answered: ' } as const
const SHOWN_OF_MANY = 8

/**
 * WORDS-1 the title stands alone on a locked screen: what, and where.
 * WORDS-2 the text says what and since when, what happens if nobody acts, what to do with its cautions, by when, and who
 *         is asked next. Where the answer cannot reach the shop it says so instead.
 * WORDS-3 what is over says from when to when, so that it stands alone where the first notice never arrived.
 */
export function askingWords(material: AskingMaterial): NoticeWords {
  const { kind, alarms, many, settings } = material
  const [first] = alarms
  const what = first && !many ? troubleText(first, settings) : manyText(alarms.length)
  const text = first && !many ? textOf(first) : textOfMany(alarms, settings)
  return { title: `${BEGINNINGS[kind]}${what}`, body: `${text}\n${answerText(material)}` }
}

export function manyText(count: number): string {
  return `${count} things at once cannot wait`
}

function textOf({ cause, consequence, action, timeToAct }: Alarm): string {
  return [cause, `If nobody acts: ${consequence}`, `What to do: ${action}`, `By when: ${timeToAct}`].join(
    '\n',
  )
}

function textOfMany(alarms: readonly Alarm[], settings: Settings): string {
  const shown = alarms.slice(0, SHOWN_OF_MANY).map((a) => `- ${troubleText(a, settings)}`)
  const more = alarms.length - shown.length
  const actions = [...new Set(alarms.map((a) => a.action))].slice(0, 2)
  return [
    'So much at once often has one cause: look at the power and the network first.',
    ...shown,
    ...(more > 0 ? [`- and ${more} more, on the board`] : []),
    ...actions.map((action) => `What to do: ${action}`),
  ].join('\n')
}

function answerText({ proven, next, settings, nowMs, many }: AskingMaterial): string {
  if (!proven) {
    return 'Replies cannot reach the shop: you are told once more, and nobody else is asked. Whoever stands at the board can say there that they are on it.'
  }
  const answer = many ? 'Answer that you are on it, for all of them' : 'Answer if you are on it'
  if (!next) return `${answer}. Nobody else is asked after you.`
  return `${answer}: else ${next.contact.title} is asked ${next.again ? 'again ' : ''}at ${clockText(next.atMs, { timeZone: settings.site.timeZone, nowMs })}.`
}

export interface OverMaterial {
  /** In the words of the last notice about it. */
  readonly what: string
  readonly fromMs: number
  readonly toMs: number
  readonly withdrawn: boolean
  /** Was it an outage of the mains of the shop? Then every machine that went with it is on again. */
  readonly mainsOut: boolean
  readonly settings: Settings
  readonly nowMs: number
}

export function overWords(material: OverMaterial): NoticeWords {
  const { what, fromMs, toMs, withdrawn, mainsOut, settings, nowMs } = material
  const clock = (atMs: number): string => clockText(atMs, { timeZone: settings.site.timeZone, nowMs })
  if (withdrawn) {
    return {
      title: `It turned out otherwise: ${what}`,
      body: `This was told of ${clock(fromMs)}. Readings that came later show that it was not so, and it is taken back. It stays on record, marked as withdrawn.`,
    }
  }
  return {
    title: `Over: ${what}`,
    body: [
      `It lasted from ${clock(fromMs)} to ${clock(toMs)}, ${durationText(Math.max(0, toMs - fromMs))}. Nobody is asked about it any more.`,
      ...(mainsOut ? ['The mains is back, and no machine that went off with it is still off.'] : []),
      'Not everything is measured: look at it, and check the nozzles, before the first print.',
    ].join('\n'),
  }
}

export interface MainsBackMaterial {
  readonly stillOff: readonly string[]
  readonly fromMs: number
  readonly backMs: number
  readonly settings: Settings
  readonly nowMs: number
}

/** The mains is back and machines are not: that is not over. */
export function mainsBackWords({
  stillOff,
  fromMs,
  backMs,
  settings,
  nowMs,
}: MainsBackMaterial): NoticeWords {
  const clock = (atMs: number): string => clockText(atMs, { timeZone: settings.site.timeZone, nowMs })
  const names = stillOff.length > 3 ? `${stillOff.slice(0, 3).join(', ')} and others` : stillOff.join(' and ')
  const subject = stillOff.length === 1 ? (stillOff[0] ?? '') : `${stillOff.length} machines`
  return {
    title: `Mains is back, ${subject} ${stillOff.length === 1 ? 'is' : 'are'} not`,
    body: [
      `${settings.site.title} had no mains from ${clock(fromMs)} to ${clock(backMs)}. Still off: ${names}.`,
      'If nobody acts: a machine that is off cannot clean its heads, and the ink dries in the nozzles.',
      'What to do: find out why it is off. If a breaker or residual-current device tripped, or anything is wet or smells burnt, leave it off and call an electrician. Re-cap only as the manual says.',
    ].join('\n'),
  }
}

import type { Standing } from '../assess/standing.ts'
import type { Alarm } from '../model/alarm.ts'
import { clockText } from '../model/clock-text.ts'
import type { BottleView, InkView, MachineView } from '../model/views.ts'

export interface MeasuredNow {
  readonly humidityPct: number | null
  readonly power: MachineView['power']['now']
  readonly bottle: Pick<BottleView, 'fillPct'> | null
  readonly inks: readonly Pick<InkView, 'title' | 'usedPct' | 'basis'>[]
}

export interface SentenceMaterial {
  readonly standing: Standing
  readonly alarm: Alarm | null
  readonly measured: MeasuredNow
  /** Is any sensor bound to it? */
  readonly watched: boolean
  readonly timeZone: string
  readonly nowMs: number
}

/** The one thing to know about a machine, and what stands behind it, in words one can read at 23:00. */
export function machineSentence(material: SentenceMaterial): { sentence: string; evidence: string } {
  const { alarm, timeZone, nowMs, watched, standing } = material
  if (alarm && alarm.state !== 'returnedUnacknowledged') {
    return { sentence: `${alarm.title}.`, evidence: alarmEvidence(alarm, { timeZone, nowMs }) }
  }
  if (!watched) {
    return { sentence: 'Not watched yet.', evidence: 'No sensor is assigned to it: see Sensors.' }
  }
  const over = alarm ? ` ${overText(alarm, { timeZone, nowMs })}` : ''
  const isKnown = standing !== 'unknown'
  const sentence = isKnown ? 'All is well.' : 'Not known: its sensors say nothing.'
  return { sentence, evidence: `${measuredNow(material)}${over}` }
}

interface Clock {
  readonly timeZone: string
  readonly nowMs: number
}

function alarmEvidence({ state, acknowledged, shelved, quiet, cause }: Alarm, clock: Clock): string {
  if (shelved) return `Shelved until ${clockText(shelved.untilMs, clock)}: ${shelved.reason}.`
  if (quiet) {
    const until = quiet.untilMs === null ? '' : ` until ${clockText(quiet.untilMs, clock)}`
    const note = quiet.note === '' ? '' : `: ${quiet.note}`
    return `${state === 'outOfService' ? 'Out of service' : 'Planned work'}${until}${note}.`
  }
  return acknowledged ? `Somebody is on it since ${clockText(acknowledged.atMs, clock)}.` : cause
}

/** Of an alarm that nobody has said they saw: what there was, and when it ended. */
function overText({ title, returnedMs, revision, openedMs }: Alarm, clock: Clock): string {
  if (revision === 'withdrawn') return `It was nothing: ${title}.`
  return `Over since ${clockText(returnedMs ?? openedMs, clock)}: ${title}.`
}

function measuredNow({ measured: { humidityPct, power, bottle, inks } }: SentenceMaterial): string {
  const driest = [...inks].filter((i) => i.basis !== 'unknown').sort((a, b) => b.usedPct - a.usedPct)[0]
  const parts = [
    ...(humidityPct === null ? [] : [`air at ${Math.round(humidityPct)} %RH`]),
    ...(power === 'unknown' ? [] : [POWER_WORDS[power]]),
    ...(driest
      ? [`${driest.title.toLowerCase()} ink at ${Math.round(driest.usedPct)} % of its drying limit`]
      : []),
    ...(bottle?.fillPct == null ? [] : [`bottle at ${Math.round(bottle.fillPct)} %`]),
  ]
  const text = parts.join(', ')
  return text === '' ? 'Nothing is measured now.' : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`
}

const POWER_WORDS = {
  off: 'switched off',
  on: 'power on',
  standby: 'waiting',
  cleaning: 'cleaning its heads',
  printing: 'printing',
} as const

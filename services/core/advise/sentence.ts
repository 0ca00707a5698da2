import type { Standing } from '../assess/standing.ts'
import type { Alarm } from '../model/alarm.ts'
import { clockText } from '../model/clock-text.ts'
import type { MachineStrip } from './strip.ts'

export interface SentenceMaterial {
  readonly standing: Standing
  readonly alarm: Alarm | null
  readonly strip: MachineStrip | undefined
  /** Is any sensor bound to it? */
  readonly watched: boolean
  readonly timeZone: string
  readonly nowMs: number
}

/** The one thing to know about a machine, and what stands behind it, in words one can read at 23:00. */
export function machineSentence(material: SentenceMaterial): { sentence: string; evidence: string } {
  const { alarm, timeZone, nowMs, watched, standing } = material
  if (alarm) {
    const seen = alarm.acknowledged
    const onIt = seen ? `Somebody is on it since ${clockText(seen.atMs, { timeZone, nowMs })}.` : alarm.cause
    return { sentence: `${alarm.title}.`, evidence: onIt }
  }
  if (!watched) {
    return { sentence: 'Not watched yet.', evidence: 'No sensor is assigned to it: see Sensors.' }
  }
  if (standing === 'unknown')
    return { sentence: 'Not known: its sensors say nothing.', evidence: measuredNow(material) }
  return { sentence: 'All is well.', evidence: measuredNow(material) }
}

function measuredNow({ strip }: SentenceMaterial): string {
  if (!strip) return 'Nothing is measured now.'
  const { humidity, power, bottle } = strip
  const parts = [
    ...(humidity.nowPct === null ? [] : [`air at ${Math.round(humidity.nowPct)} %RH`]),
    ...(power.now === 'unknown' ? [] : [`power ${power.now}`]),
    ...(bottle?.fillPct == null ? [] : [`bottle at ${Math.round(bottle.fillPct)} %`]),
  ]
  const text = parts.join(', ')
  return text === '' ? 'Nothing is measured now.' : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`
}

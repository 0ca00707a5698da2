import type { AlarmChange } from '../../model/alarm-change.ts'
import type { Alarm } from '../../model/alarm.ts'
import type { AlarmMeasures, Measure } from '../../model/alarm-measures.ts'
import { loadOf, type Load, type Window } from './load.ts'
import { mannersOf, type Manners } from './manners.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** The standards ask for at least 30 days. */
export const ASSESSED_MS = 30 * DAY_MS
/** Shares of fewer than these say nothing about an alarm system. */
const ENOUGH_FOR_SHARES = 100

/**
 * The measures of ISA-18.2 / IEC 62682 over the record of alarms. The targets are those of the standards for one
 * operator's position, by second hand (course texts and trade articles; the documents themselves were not opened).
 *
 * MEASURE-1 what asks for somebody is counted: each time an alarm becomes unacknowledged.
 * MEASURE-2 each measure stands beside its target; where there is too little to judge it says so and is not judged.
 * MEASURE-3 calm is what keeps every target that could be judged.
 */
export function alarmMeasures(
  changes: readonly AlarmChange[],
  open: readonly Alarm[],
  window: Window,
): AlarmMeasures {
  const load = loadOf(changes, window)
  const manners = mannersOf(changes, open, window)
  const days = (window.toMs - window.fromMs) / DAY_MS
  const measures = [...rates(load, days), ...peaks(load), ...shares(load), ...behaviour(manners)]
  const isCalm = measures.every((m) => m.kept !== false)
  return {
    ...window,
    days: Math.round(days * 10) / 10,
    asked: load.asked,
    isCalm,
    sentence: sentenceOf({ load, measures, days, isCalm }),
    measures,
    mostFrequent: load.mostFrequent.map(({ title, times }) => ({
      title,
      times,
      sharePct: Math.round((100 * times) / Math.max(1, load.asked)),
    })),
  }
}

function rates({ asked }: Load, days: number): readonly Measure[] {
  const rate = (id: string, title: string, per: number, target: readonly [number, string]): Measure => {
    const isKnown = days * per >= 1
    const value = asked / Math.max(1, days * per)
    return {
      id,
      title,
      value: isKnown ? numberText(value) : 'too soon to say',
      target: target[1],
      kept: isKnown ? value <= target[0] : null,
    }
  }
  return [
    rate('perDay', 'Alarms a day', 1, [150, '144 to 150 at most; 300 can just be managed']),
    rate('perHour', 'Alarms an hour', 24, [6, '6 at most; 12 can just be managed']),
    rate('perTenMin', 'Alarms in ten minutes, on average', 144, [1, '1 at most; 2 can just be managed']),
  ]
}

function peaks({ mostInTenMin, overfullShare, floods, floodShare }: Load): readonly Measure[] {
  return [
    {
      id: 'mostInTenMin',
      title: 'Most in any ten minutes',
      value: String(mostInTenMin),
      target: '10 at most',
      kept: mostInTenMin <= 10,
    },
    {
      id: 'overfullShare',
      title: 'Ten-minute periods with more than 10',
      value: percentText(overfullShare),
      target: 'under 1 %',
      kept: overfullShare < 0.01,
    },
    {
      id: 'floods',
      title: 'Time in alarm flood',
      value: `${percentText(floodShare)}, ${floods === 1 ? '1 flood' : `${floods} floods`}`,
      target: 'under 1 %',
      kept: floodShare < 0.01,
    },
  ]
}

function shares({ asked, mostFrequent, byPriority }: Load): readonly Measure[] {
  const isEnough = asked >= ENOUGH_FOR_SHARES
  const top = mostFrequent.reduce((sum, f) => sum + f.times, 0) / Math.max(1, asked)
  const part = (n: number): string => percentText(n / Math.max(1, asked))
  const { high, medium, low } = byPriority
  const few = isEnough ? '' : `, too few to judge (${asked})`
  return [
    {
      id: 'mostFrequentShare',
      title: 'Share of the ten most frequent',
      value: `${percentText(top)}${few}`,
      target: '1 to 5 %, where there are hundreds',
      kept: isEnough ? top <= 0.05 : null,
    },
    {
      id: 'priorities',
      title: 'High, medium and low priority',
      value: `${part(high)}, ${part(medium)}, ${part(low)}${few}`,
      target: 'about 5, 15 and 80 %',
      kept: isEnough ? high / asked <= 0.1 && low / asked >= 0.6 : null,
    },
  ]
}

function behaviour(m: Manners): readonly Measure[] {
  return [
    {
      id: 'chattering',
      title: 'Chattering: three times or more within a minute',
      value: String(m.chattering),
      target: 'none',
      kept: m.chattering === 0,
    },
    {
      id: 'stale',
      title: 'Stale: holding for more than a day',
      value: `${m.mostStaleOnADay} on the worst day, ${m.staleNow} now`,
      target: 'fewer than 5 on any day',
      kept: m.mostStaleOnADay < 5,
    },
    {
      id: 'shelved',
      title: 'Shelved by a person',
      value: `${m.shelved}, ${m.shelvedNow} now`,
      target: 'each by somebody who may, with a reason: the rest is refused',
      kept: null,
    },
    {
      id: 'inQuiet',
      title: 'Out of service or suppressed by a plan',
      value: `${m.inQuiet}, ${m.inQuietNow} now`,
      target: 'each by a planned quiet with its note: there is no other way',
      kept: null,
    },
  ]
}

interface Told {
  readonly load: Load
  readonly measures: readonly Measure[]
  readonly days: number
  readonly isCalm: boolean
}

function sentenceOf({ load: { asked, mostInTenMin }, measures, days, isCalm }: Told): string {
  const span = days < 2 ? `${Math.max(1, Math.round(days * 24))} h` : `${Math.round(days)} days`
  const young = days < 30 ? ` Of ${span} so far; a fair judgement takes 30 days.` : ''
  if (asked === 0) return `Calm: nothing has asked for anybody.${young}`
  const times = asked === 1 ? '1 alarm' : `${asked} alarms`
  if (isCalm) return `Calm: ${times} in ${span}, at most ${mostInTenMin} within ten minutes.${young}`
  const broken = measures.filter((m) => m.kept === false).map((m) => m.title.replace(/:.*/, '').toLowerCase())
  return `Not calm: ${times} in ${span}. Look at: ${broken.join('; ')}.${young}`
}

function percentText(share: number): string {
  return `${numberText(100 * share)} %`
}

function numberText(value: number): string {
  return String(value >= 10 ? Math.round(value) : Math.round(value * 10) / 10)
}

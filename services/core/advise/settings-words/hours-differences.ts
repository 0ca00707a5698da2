import type { Settings } from '../../model/settings.ts'
import type { SettingsDifference } from './settings-difference.ts'

type Hours = Settings['hours']

const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const

/** DIFF-4 opening hours are told by the day, days that change alike in one line; holidays by what came and went. */
export function hoursDifferences(before: Hours, after: Hours): SettingsDifference[] {
  return [...weekDifferences(before, after), ...holidayDifferences(before, after)]
}

function weekDifferences(before: Hours, after: Hours): SettingsDifference[] {
  const changes = new Map<string, string[]>()
  DAYS.forEach((day, at) => {
    const [was, is] = [dayText(before, at + 1), dayText(after, at + 1)]
    if (was === is) return
    const text = `from ${was} to ${is}`
    changes.set(text, [...(changes.get(text) ?? []), day])
  })
  return [...changes].map(([text, days]) => ({
    path: 'hours.weekly',
    text: `Opening hours, ${daysText(days)}: ${text}`,
  }))
}

function dayText({ weekly }: Hours, weekday: number): string {
  const openings = weekly.filter((o) => o.weekday === weekday)
  if (openings.length === 0) return 'closed'
  return openings
    .map(({ opens, closes }) => `${opens}-${closes}`)
    .sort()
    .join(' and ')
}

/** `Monday to Friday` for days in a row, else all of them. */
function daysText(days: readonly string[]): string {
  const at = days.map((day) => DAYS.findIndex((d) => d === day))
  const inARow = at.every((n, i) => i === 0 || n === (at[i - 1] ?? 0) + 1)
  return inARow && days.length > 2 ? `${days[0]} to ${days.at(-1)}` : days.join(', ')
}

function holidayDifferences(before: Hours, after: Hours): SettingsDifference[] {
  const came = after.holidays.filter((day) => !before.holidays.includes(day))
  const went = before.holidays.filter((day) => !after.holidays.includes(day))
  const line = (days: readonly string[], word: string): SettingsDifference[] =>
    days.length === 0 ? [] : [{ path: 'hours.holidays', text: `Closed on ${days.join(', ')}: ${word}` }]
  return [...line(came, 'added'), ...line(went, 'removed')]
}

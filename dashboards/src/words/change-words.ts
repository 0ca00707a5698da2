import type { LimitView, Stamp } from '../api/setup-api.ts'
import { nearTime, type ShopNow } from './shop-time.ts'

/** `Ana, 12 Nov 22:10`: who made a change, and when. */
export function stampWords({ by, via, atMs }: Stamp, now: ShopNow): string {
  const who = by ?? 'Somebody whose name was erased'
  return `${who}${via === 'program' ? ' (a program)' : ''}, ${nearTime(atMs, now)}`
}

/** Where a limit comes from, in a sentence or two. */
export function originWords({ set, value, startingValue, unit, factor }: LimitView, now: ShopNow): string {
  if (!set) return 'Starting value (common practice, no source), never changed.'
  const shown = startingValue === null ? '' : ` ${shownText(startingValue / factor, unit)}`
  const start =
    startingValue === value ? ' It is our starting value again.' : startingValue === null ? '' : ` Our starting value is${shown}.`
  return `Set by ${stampWords(set, now)}.${set.why === null ? '' : ` Why: ${set.why}`}${start}`
} // prettier-ignore

function shownText(value: number, unit: string): string {
  const text = String(Number(value.toPrecision(6)))
  return unit === '' ? text : `${text} ${unit}`
}

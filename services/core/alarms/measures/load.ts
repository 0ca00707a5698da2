import type { AlarmChange } from '../../model/alarm-change.ts'
import type { Priority } from '../../model/alarm.ts'
import { askedAt, floodAt, floodEndMs, FLOOD_BEGINS_ABOVE, FLOOD_WITHIN_MS, NO_FLOOD } from '../flood.ts'

export interface Window {
  readonly fromMs: number
  readonly toMs: number
}

/** How often somebody was asked for, and how unevenly. */
export interface Load {
  /** Times an alarm became unacknowledged. */
  readonly asked: number
  /** The most within any ten minutes of the clock. */
  readonly mostInTenMin: number
  /** Share of the ten-minute periods of the clock with more than ten, 0 to 1. */
  readonly overfullShare: number
  readonly floods: number
  /** Share of the time that was flood, 0 to 1. */
  readonly floodShare: number
  readonly byPriority: Readonly<Record<Priority, number>>
  /** The ten that asked most often, the first most. */
  readonly mostFrequent: readonly { readonly title: string; readonly times: number }[]
}

export function isAsking({ state, from }: AlarmChange): boolean {
  return state === 'unacknowledged' && from !== 'unacknowledged'
}

export function loadOf(changes: readonly AlarmChange[], window: Window): Load {
  const asking = changes.filter(isAsking)
  const times = asking.map((c) => c.atMs)
  const periods = countBy(times, (atMs) => Math.floor(atMs / FLOOD_WITHIN_MS))
  const overfull = [...periods.values()].filter((n) => n > FLOOD_BEGINS_ABOVE).length
  const spanMs = Math.max(1, window.toMs - window.fromMs)
  const floods = floodsOf(times, window.toMs)
  const floodMs = floods.reduce((sum, f) => sum + f.toMs - f.fromMs, 0)
  const priorities = countBy(asking, (c) => c.priority)
  return {
    asked: asking.length,
    mostInTenMin: Math.max(0, ...periods.values()),
    overfullShare: overfull / Math.max(1, Math.ceil(spanMs / FLOOD_WITHIN_MS)),
    floods: floods.length,
    floodShare: floodMs / spanMs,
    byPriority: {
      high: priorities.get('high') ?? 0,
      medium: priorities.get('medium') ?? 0,
      low: priorities.get('low') ?? 0,
    },
    mostFrequent: mostFrequent(asking),
  }
}

/** The floods that these times made, by the very rules by which a running flood is told (FLOOD-1 and 2). */
export function floodsOf(askedMs: readonly number[], toMs: number): readonly Window[] {
  const floods: Window[] = []
  let flood = NO_FLOOD
  const close = (fromMs: number | null, endMs: number): void => {
    if (fromMs !== null) floods.push({ fromMs, toMs: Math.min(endMs, toMs) })
  }
  for (const atMs of askedMs) {
    if (flood.sinceMs !== null && floodAt(flood, atMs).sinceMs === null) {
      close(flood.sinceMs, floodEndMs(flood))
    }
    flood = askedAt(flood, atMs)
  }
  close(flood.sinceMs, floodEndMs(flood))
  return floods
}

function mostFrequent(asking: readonly AlarmChange[]): Load['mostFrequent'] {
  const keyOf = (c: AlarmChange): string => `${c.condition}|${c.rootKey}`
  const titles = new Map(asking.map((c) => [keyOf(c), c.title]))
  return [...countBy(asking, keyOf)]
    .sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1))
    .slice(0, 10)
    .map(([key, times]) => ({ title: titles.get(key) ?? key, times }))
}

function countBy<T, K>(items: readonly T[], keyOf: (item: T) => K): ReadonlyMap<K, number> {
  const counts = new Map<K, number>()
  for (const item of items) counts.set(keyOf(item), (counts.get(keyOf(item)) ?? 0) + 1)
  return counts
}

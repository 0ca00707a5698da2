import type { MachineFacts } from '../track/machine.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { Detector } from './detector.ts'

export interface FlickeringState {
  open: boolean
  worst: number
}

/**
 * Power that comes and goes: a loose plug, a tired power strip, a supply at its end. Each time the machine starts anew.
 *
 * FLICKER-1 opens when the power fell `times` times within `withinMs`; its value is how often it fell in that time.
 * FLICKER-2 closes when it has not fallen for `withinMs`.
 */
export const powerFlickering: Detector<FlickeringState, MachineFacts> = {
  condition: 'powerFlickering',
  hears: ['power', 'powered'],
  initial: () => ({ open: false, worst: 0 }),
  onFacts: (state, { facts, context }, cause) => {
    if (cause.type !== 'reading') return null
    const { atMs } = cause.reading
    const falls = fallsWithin(facts, atMs, context)
    state.worst = Math.max(state.open ? state.worst : 0, falls.length)
    if (state.open || falls.length < context.settings.limits.flickering.times) return null
    state.open = true
    const value = falls.length
    return { type: 'opened', fromMs: falls[0] ?? atMs, openedMs: atMs, value, worst: value }
  },
  deadlineMs: (state, { facts, context }) => {
    const lastMs = facts.power.fallsMs.at(-1)
    if (!state.open) return Infinity
    return (lastMs ?? -Infinity) + context.settings.limits.flickering.withinMs
  },
  onDeadline: (state, _situation, atMs) => {
    state.open = false
    return { type: 'closed', toMs: atMs, closedMs: atMs, worst: state.worst }
  },
}

function fallsWithin({ power }: MachineFacts, atMs: number, { settings }: SubjectContext): readonly number[] {
  return power.fallsMs.filter((fellMs) => atMs - fellMs <= settings.limits.flickering.withinMs)
}

import type { AlarmState } from '../../services/core/model/alarm.ts'
import { LIFE_START_MS, type LifeActs, type LifeWorld, type Which } from './alarm-life-shop.ts'

const MIN = 60_000

/** An alarm as a person would keep it in a notebook. */
interface Kept {
  readonly id: string
  state: AlarmState
  readonly open: Set<Which>
  readonly episodes: Set<string>
  lead: Which
  overMs: number | null
  onItMs: number | null
  arose: number[]
  activations: number
  /** Restless: over since, and for good only from then on. */
  waits: { atMs: number; untilMs: number } | null
  called: boolean
  shelf: { untilMs: number; lead: Which } | null
  hasTask: boolean
}

export interface LifeModel extends LifeActs {
  /** Each transition as `state happening`. */
  readonly reached: readonly string[]
}

/** The rules once more, in the simplest words, written without a look at how the kernel keeps them. */
export function createLifeModel(world: LifeWorld): LifeModel {
  const alarms: Kept[] = []
  const reached: string[] = []
  const last = new Map<Which, { id: string; open: boolean }>()
  let nowMs = LIFE_START_MS
  let quiet = false
  let n = 0
  const inQuiet = (a: Kept): boolean => a.state === 'outOfService' || a.state === 'suppressedByDesign'
  const isUrgent = (k: Which): boolean => world.secondIsUrgent && k === 'second'
  const first = (...states: AlarmState[]) => alarms.find((a) => states.includes(a.state))

  function go(a: Kept, happening: string, to: AlarmState): void {
    reached.push(`${a.state} ${happening}`)
    a.state = to
    if (to === 'unacknowledged') a.onItMs = null
    if (to !== 'shelved') a.shelf = null
  }
  function call(a: Kept): void {
    if (a.state === 'unacknowledged' && isUrgent(a.lead)) a.called = true
  }
  /** The second is told first where it is urgent; else the first outweighs it. */
  function lead(a: Kept): void {
    const [mine, other]: [Which, Which] = world.secondIsUrgent ? ['second', 'first'] : ['first', 'second']
    if (a.open.size > 0) a.lead = a.open.has(mine) ? mine : other
  }
  function raise(k: Which): Kept {
    const raised: Kept = {
      id: `alarm-${alarms.length + 1}`,
      state: 'normal',
      open: new Set(),
      episodes: new Set(),
      lead: k,
      overMs: nowMs,
      onItMs: null,
      arose: [],
      activations: 0,
      waits: null,
      called: false,
      shelf: null,
      hasTask: false,
    }
    alarms.push(raised)
    return raised
  }
  function homeOf(covered: boolean): Kept | undefined {
    const standing = alarms.find((a) => a.state !== 'normal' && inQuiet(a) === covered)
    return standing ?? alarms.findLast((a) => a.state === 'normal' && nowMs - (a.overMs ?? 0) <= 30 * MIN)
  }
  function join(a: Kept, k: Which, covered: boolean): void {
    const before = { lead: a.lead, overMs: a.overMs, onItMs: a.onItMs }
    const arises = a.overMs !== null || a.waits !== null
    a.open.add(k)
    a.episodes.add(last.get(k)?.id ?? '')
    lead(a)
    const grew = isUrgent(a.lead) && !isUrgent(before.lead)
    if (arises) {
      a.activations++
      a.arose = [...a.arose, nowMs].slice(-3)
      a.waits = null
      a.overMs = null
      if (a.state === 'normal') {
        const { onItMs, overMs } = before
        const isOnIt = onItMs !== null && overMs !== null && onItMs <= overMs && nowMs - onItMs <= 60 * MIN
        if (covered) {
          const isAway = world.quiet === 'outOfService'
          go(
            a,
            isAway ? 'aroseOutOfService' : 'aroseSuppressed',
            isAway ? 'outOfService' : 'suppressedByDesign',
          )
        } else if (isOnIt && !grew) go(a, 'aroseSeen', 'acknowledged')
        else go(a, 'arose', 'unacknowledged')
      } else if (a.state === 'returnedUnacknowledged') go(a, 'arose', 'unacknowledged')
    }
    if (grew && a.state === 'acknowledged') go(a, 'grewUrgent', 'unacknowledged')
    if (a.shelf && isUrgent(a.lead) && a.shelf.lead !== a.lead) go(a, 'unshelvedHolding', 'unacknowledged')
    call(a)
    if (before.overMs !== null && !inQuiet(a)) a.hasTask = true
  }
  function over(a: Kept, atMs: number): void {
    a.waits = null
    if (a.state === 'unacknowledged') go(a, 'returned', 'returnedUnacknowledged')
    else if (a.state === 'acknowledged' || inQuiet(a)) go(a, 'returned', 'normal')
    a.overMs = atMs
    a.hasTask = false
  }
  function leave(a: Kept, k: Which): void {
    a.open.delete(k)
    lead(a)
    if (a.open.size > 0 || a.overMs !== null) return
    const isRestless = a.arose.length === 3 && nowMs - (a.arose[0] ?? 0) <= 30 * MIN
    const stands = a.state === 'unacknowledged' || a.state === 'acknowledged'
    if (stands && isRestless) a.waits = { atMs: nowMs, untilMs: nowMs + 10 * MIN }
    else over(a, nowMs)
  }
  function neverWas(a: Kept): void {
    if (a.state === 'unacknowledged' && a.called) go(a, 'withdrawnAfterCall', 'returnedUnacknowledged')
    else if (a.state === 'acknowledged') go(a, 'withdrawn', 'returnedUnacknowledged')
    else if (a.state !== 'shelved' && !(a.state === 'returnedUnacknowledged' && a.called)) {
      go(a, 'withdrawn', 'normal')
    }
    if (a.state === 'returnedUnacknowledged') a.onItMs = null
    a.waits = null
    a.overMs ??= nowMs
    a.hasTask = false
  }
  function takeDown(a: Kept): void {
    if (a.overMs === null) go(a, 'unshelvedHolding', 'unacknowledged')
    else go(a, 'unshelvedOver', 'normal')
  }

  return {
    reached,
    arise: (k) => {
      if (last.get(k)?.open) return
      last.set(k, { id: `${++n}`, open: true })
      join(homeOf(quiet) ?? raise(k), k, quiet)
    },
    end: (k) => {
      const episode = last.get(k)
      if (!episode?.open) return
      last.set(k, { ...episode, open: false })
      const a = alarms.find((o) => o.open.has(k))
      if (a) leave(a, k)
    },
    withdraw: (k) => {
      const episode = last.get(k)
      last.delete(k)
      const a = alarms.find((o) => episode !== undefined && o.episodes.has(episode.id))
      if (!a) return
      const isWhole = a.episodes.size === 1
      if (isWhole && a.state !== 'normal') {
        a.open.delete(k)
        neverWas(a)
      } else if (episode?.open) leave(a, k)
    },
    acknowledge: () => {
      const a = first('unacknowledged', 'returnedUnacknowledged')
      if (!a) return
      go(a, 'acknowledged', a.state === 'unacknowledged' ? 'acknowledged' : 'normal')
      a.onItMs = nowMs
    },
    shelve: (minutes) => {
      const a = first('unacknowledged', 'acknowledged', 'returnedUnacknowledged')
      if (!a) return
      go(a, 'shelved', 'shelved')
      a.shelf = { untilMs: nowMs + minutes * MIN, lead: a.lead }
      if (a.waits) over(a, a.waits.atMs)
    },
    unshelve: () => {
      const a = first('shelved')
      if (a) takeDown(a)
    },
    planQuiet: () => {
      quiet = true
    },
    endQuiet: () => {
      quiet = false
      for (const a of alarms.filter(inQuiet)) {
        const home = alarms.find((o) => o.state !== 'normal' && !inQuiet(o))
        if (home) {
          for (const k of a.open) {
            join(home, k, false)
            a.episodes.delete(last.get(k)?.id ?? '')
          }
          a.open.clear()
          go(a, 'quietEndedOver', 'normal')
          a.overMs = nowMs
        } else {
          go(a, 'quietEndedHolding', 'unacknowledged')
          call(a)
          a.hasTask = true
        }
      }
    },
    wait: (minutes) => {
      nowMs += minutes * MIN
      for (const a of alarms) {
        if (a.shelf && a.shelf.untilMs <= nowMs) takeDown(a)
        if (a.waits && a.waits.untilMs <= nowMs) over(a, a.waits.atMs)
      }
    },
    shown: () =>
      alarms.map(({ id, state, overMs, activations, hasTask }) => ({
        id,
        state,
        overMs,
        activations,
        hasTask,
      })),
  }
}

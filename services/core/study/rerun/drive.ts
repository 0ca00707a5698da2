import { initialKernel, type KernelState } from '../../kernel/state.ts'
import { nextDeadlineMs, step } from '../../kernel/step.ts'
import type { Effect } from '../../model/effect.ts'
import type { Episode } from '../../model/episode.ts'
import type { Input, InputBody } from '../../model/input.ts'
import type { Past } from '../../model/ports/past.ts'
import { emptySettings, type Settings } from '../../model/settings.ts'
import { createRerunBook } from './rerun-book.ts'
import { translated } from './translate-acts.ts'

/** The engine moves deadlines this far behind its clock. */
const GRACE_MS = 2_000
const MINUTE_MS = 60_000
/** Inputs between two looks at how far it has come. */
const TELL_EVERY = 2_000

export interface Drive {
  readonly past: Past
  /** The re-run takes what came in within [sinceMs, toMs). */
  readonly sinceMs: number
  readonly toMs: number
  /** Before it, minutes stand for readings (see the port); -Infinity for none. */
  readonly minutesUntilMs: number
  /** What the settings of the past become. */
  readonly change: (settings: Settings) => Settings
  /** Every effect, in order, with the clock and the state from which it came. */
  readonly onEffect: (effect: Effect, clockMs: number, state: KernelState) => void
  /** Called now and then, with 0 to 1. */
  readonly onShare?: (share: number) => void
}

export interface Driven {
  readonly state: KernelState
  readonly episodes: readonly Episode[]
  readonly readings: number
  readonly actsDropped: number
}

/**
 * Sends the stored past through the kernel.
 *
 * RERUN-1 the same inputs in the same order as they came, each settled by the clock of then: under unchanged settings
 *         from the beginning of the record it finds the episodes on record.
 * RERUN-2 nothing leaves: effects go to `onEffect` and nowhere else.
 * RERUN-3 settings, learned values, plans for quiet and proofs of reply paths that held when it begins are told first.
 *         What a head had gone through before is not known.
 * RERUN-4 what people answered goes to the alarm or task of the same root or work that stands then. Where none does, or
 *         it cannot be taken, it is dropped and counted; cleanings, caps and servicing always stay.
 * RERUN-5 while the monitor was dark its clock stood still.
 */
export function drive(parts: Drive): Driven {
  const { past, sinceMs, toMs, minutesUntilMs, onShare } = parts
  const run = createRun(parts)
  for (const input of past.inForceAt(sinceMs)) run.take(asOf(input, sinceMs))
  const readingsFrom = sinceMs < minutesUntilMs && minutesUntilMs < toMs ? minutesUntilMs : Infinity
  let areMinutes = readingsFrom !== Infinity
  let taken = 0
  for (const input of past.inputs({ fromMs: sinceMs, toMs, minutesUntilMs })) {
    if (areMinutes && input.receivedMs >= readingsFrom) {
      areMinutes = false
      run.tellSettingsAgain(readingsFrom)
    }
    run.replay(input)
    if (++taken % TELL_EVERY === 0) onShare?.((input.receivedMs - sinceMs) / (toMs - sinceMs))
  }
  run.wakeThrough(toMs)
  return run.end()
}

/** Told at this moment. What changes how subjects are judged counts from then on; a proof keeps its date. */
function asOf(input: Input, nowMs: number): InputBody {
  const isOrder = input.type === 'settings' || input.type === 'learned'
  return { ...input, receivedMs: nowMs, ...(isOrder ? { atMs: nowMs } : {}) }
}

interface Run {
  /** Takes an input of the record, at its own time. */
  readonly replay: (input: Input) => void
  readonly take: (body: InputBody) => void
  /** From here on readings arrive as often as their sensors promise. */
  readonly tellSettingsAgain: (nowMs: number) => void
  readonly wakeThrough: (nowMs: number) => void
  readonly end: () => Driven
}

function createRun({ past, sinceMs, minutesUntilMs, change, onEffect }: Drive): Run {
  const book = createRerunBook(past, { sinceMs, minutesUntilMs })
  const state = initialKernel(emptySettings())
  let seq = 0
  let recordSeq = 0
  let clockMs = -Infinity
  let readings = 0
  let actsDropped = 0
  let onRecord: InputBody | null = null

  const take = (given: InputBody): void => {
    if (given.type === 'settings') onRecord = given
    const body = settled(given, change, given.receivedMs < minutesUntilMs)
    const input: Input = { ...body, seq: ++seq }
    clockMs = Math.max(clockMs, input.receivedMs)
    book.note(input, recordSeq)
    for (const effect of step(state, input, book.history).effects) {
      book.apply(effect)
      onEffect(effect, clockMs, state)
    }
  }
  const wakeThrough = (nowMs: number): void => {
    for (let due = nextDeadlineMs(state); due <= nowMs - GRACE_MS; due = nextDeadlineMs(state)) {
      const atMs = Math.max(due, clockMs - GRACE_MS)
      take({ type: 'deadline', atMs, receivedMs: atMs + GRACE_MS })
    }
  }
  return {
    take,
    wakeThrough,
    replay: (input) => {
      wakeThrough(input.type === 'monitorDark' ? input.fromMs : input.receivedMs)
      recordSeq = Math.max(recordSeq, input.seq)
      const meant = translated(input, state, past)
      if (meant === null) actsDropped++
      else take(meant)
      if (input.type === 'readings') readings += input.readings.length
    },
    tellSettingsAgain: (nowMs) => {
      wakeThrough(nowMs)
      if (onRecord) take({ ...onRecord, atMs: nowMs, receivedMs: nowMs })
    },
    end: () => ({ state, episodes: book.episodes(), readings, actsDropped }),
  }
}

/** Settings of the past with what is tried; where minutes stand for readings, no sensor promises one more often. */
function settled(body: InputBody, change: Drive['change'], areMinutes: boolean): InputBody {
  if (body.type !== 'settings') return body
  const settings = change(body.settings)
  if (!areMinutes) return { ...body, settings }
  const sensors = settings.sensors.map((s) => ({ ...s, intervalMs: Math.max(s.intervalMs, MINUTE_MS) }))
  return { ...body, settings: { ...settings, sensors } }
}

import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { HistoryView } from '../../../services/core/model/history-view.ts'
import type { Answer } from '../api/answer.ts'
import { failureSentence } from '../api/answer.ts'
import type { Timers } from '../live/coalesce.ts'
import { askedOf, fromQuery, toQuery, type Chosen } from '../past/link.ts'
import { presetWindow, type PastWindow, type Preset } from '../past/window.ts'

/** A gesture asks when it rests so long, and not for each of its steps. */
const ASK_AFTER_MS = 120
/** A gesture that has rested so long is a place of its own to come back to. */
const SETTLED_AFTER_MS = 500
const DAY_MS = 86_400_000

export interface PastModel {
  /** What is looked at; it moves with the fingers, ahead of the answers. */
  readonly window: ReadonlySignal<PastWindow>
  /** The last answer; drawn at its own times, so that it is scaled until the next one is there. */
  readonly view: ReadonlySignal<HistoryView | null>
  readonly isAsking: ReadonlySignal<boolean>
  readonly trouble: ReadonlySignal<string>
  readonly chosen: ReadonlySignal<Chosen | null>
  readonly isTable: ReadonlySignal<boolean>
  /** The moment under the pointer or the keys; null without one. */
  readonly cursorMs: ReadonlySignal<number | null>
  /** The query of the link to what is shown, once it has come to rest. */
  readonly settled: ReadonlySignal<string>
  /** Where the same is had as CSV: of the last answer, to the stretch. */
  readonly csvPath: ReadonlySignal<string | null>
  /** The address asks for this. */
  readonly open: (query: string) => void
  readonly move: (window: PastWindow) => void
  readonly take: (preset: Preset) => void
  readonly choose: (chosen: Chosen | null) => void
  readonly showTable: (isTable: boolean) => void
  readonly point: (atMs: number | null) => void
  /** How many stretches the screen has room for. */
  readonly fit: (points: number) => void
  readonly again: () => void
  readonly nowMs: () => number
  readonly forget: () => void
}

/** Asks for the past; `signal` gives up on an answer that nobody waits for any more. */
export type AskPast = (query: string, signal: AbortSignal) => Promise<Answer<HistoryView>>

export function createPastModel(ask: AskPast, timers: Timers, shopMs: () => number): PastModel {
  const window = signal<PastWindow>({ fromMs: 0, toMs: DAY_MS })
  const view = signal<HistoryView | null>(null)
  const answered = signal<string | null>(null)
  const [isAsking, isTable] = [signal(false), signal(false)]
  const trouble = signal('')
  const chosen = signal<Chosen | null>(null)
  const cursorMs = signal<number | null>(null)
  const settled = signal('')
  let points: number | null = null
  let isOpen = false
  let asked: { readonly query: string; readonly give: AbortController } | null = null
  let stopAsking: (() => void) | null = null
  let stopSettling: (() => void) | null = null
  const nowMs = (): number => Math.floor(shopMs())

  const send = async (): Promise<void> => {
    stopAsking = null
    // Both what is asked for and how wide the screen is must be known; either may come first.
    if (points === null || !isOpen) return
    const query = askedOf(window.peek(), chosen.peek(), points)
    if (asked?.query === query) return
    asked?.give.abort()
    const mine = (asked = { query, give: new AbortController() })
    isAsking.value = true
    const answer = await ask(query, mine.give.signal)
    // An older answer must not take the picture back to where it was.
    if (asked !== mine) return
    asked = null
    isAsking.value = false
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (!answer.ok) return
    view.value = answer.value
    answered.value = query
  }
  const want = (afterMs: number): void => {
    stopAsking?.()
    if (answered.peek() !== null && afterMs > 0) stopAsking = timers.later(afterMs, () => void send())
    else void send()
  }
  const settle = (afterMs: number): void => {
    stopSettling?.()
    stopSettling = timers.later(afterMs, () => {
      settled.value = toQuery({ window: window.peek(), chosen: chosen.peek(), isTable: isTable.peek() })
    })
  }
  const lastDay = (): PastWindow => {
    const toMs = Math.ceil(nowMs() / 1000) * 1000
    return { fromMs: toMs - DAY_MS, toMs }
  }
  return {
    window,
    view,
    isAsking,
    trouble,
    chosen,
    isTable,
    cursorMs,
    settled,
    nowMs,
    csvPath: computed(() => answered.value && `/api/v1/history.csv?${answered.value}`),
    open: (query) => {
      if (query !== '' && query === settled.peek()) return
      stopSettling?.()
      isOpen = true
      const link = fromQuery(query)
      window.value = link.window ?? lastDay()
      chosen.value = link.chosen
      isTable.value = link.isTable
      settled.value = query
      cursorMs.value = null
      want(0)
    },
    move: (next) => {
      window.value = next
      want(ASK_AFTER_MS)
      settle(SETTLED_AFTER_MS)
    },
    take: (preset) => {
      const { lastNight = null, beginsMs = null } = view.peek() ?? {}
      window.value = presetWindow(preset, { nowMs: nowMs(), lastNight, beginsMs })
      want(0)
      settle(0)
    },
    choose: (next) => {
      chosen.value = next
      want(0)
      settle(0)
    },
    showTable: (next) => {
      isTable.value = next
      settle(0)
    },
    point: (atMs) => {
      cursorMs.value = atMs
    },
    fit: (next) => {
      if (next === points) return
      points = next
      want(0)
    },
    again: () => {
      asked = null
      want(0)
    },
    forget: () => {
      stopAsking?.()
      stopSettling?.()
      asked?.give.abort()
      asked = null
      points = null
      isOpen = false
      isAsking.value = isTable.value = false
      view.value = answered.value = chosen.value = cursorMs.value = null
      trouble.value = settled.value = ''
    },
  }
}

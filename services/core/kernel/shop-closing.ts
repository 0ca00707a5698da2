import { closingNotReady } from '../advise/closing.ts'
import { dayStartMs, ofThisDay } from '../advise/closing-day.ts'
import type { ClosingMaterial } from '../advise/closing-material.ts'
import type { Known } from '../advise/board.ts'
import { tickKey } from '../model/closing.ts'
import type { InputOf } from '../model/input.ts'
import type { KernelState } from './state.ts'

/** What the kernel knows that the closing list is judged by. Facts are read, never kept. */
export function closingMaterial(state: KernelState, nowMs: number): ClosingMaterial {
  const { settings, plan, shop } = state
  return {
    nowMs,
    settings,
    calendar: plan.calendar,
    closing: shop.closing,
    machines: knownOf(state, 'machine', settings.machines),
    bottles: knownOf(state, 'bottle', settings.bottles),
    rooms: knownOf(state, 'room', settings.rooms),
    episodes: [...shop.episodes.values()].map(({ episode, alarmId }) => ({
      episode,
      alarm: shop.alarms.get(alarmId ?? '') ?? null,
    })),
    quiets: [...shop.quiets].map(([id, quiet]) => ({ id, ...quiet })),
  }
}

function knownOf<Facts>(
  { subjects, plan }: KernelState,
  kind: string,
  things: readonly { readonly id: string }[],
): Map<string, Known<Facts>> {
  return new Map(
    things.flatMap(({ id }) => {
      const subject = subjects.get(`${kind}:${id}`)
      const context = plan.contexts.get(`${kind}:${id}`)
      return subject && context ? [[id, { facts: subject.facts as unknown as Facts, context }]] : []
    }),
  )
}

type ClosingInput = InputOf<'closingBegun' | 'closingStepTicked' | 'closingFinished'>

/** CLOSE-9 who finishes a list that is not ready may do so; what was not ready then is kept with their name. */
export function takeClosing(state: KernelState, input: ClosingInput): void {
  const { shop, plan } = state
  const nowMs = input.receivedMs
  const dayMs = dayStartMs(plan.calendar, nowMs)
  const day = ofThisDay(shop.closing, dayMs)
  shop.closing = { ...day, dayMs, begun: day.begun ?? input.act }
  switch (input.type) {
    case 'closingBegun':
      return
    case 'closingStepTicked': {
      const key = tickKey(input.stepId, input.machineId)
      const others = Object.fromEntries(Object.entries(day.ticks).filter(([other]) => other !== key))
      shop.closing.ticks = input.done ? { ...others, [key]: input.act } : others
      return
    }
    case 'closingFinished': {
      const notReady = closingNotReady(closingMaterial(state, nowMs))
      shop.closing.finished = { act: input.act, ready: notReady.length === 0, notReady: [...notReady] }
      shop.closing.doneMs = nowMs
    }
  }
}

/** Has anybody gone through the closing list to its end since then, ready or not? */
export function closingDoneSince({ shop }: KernelState, sinceMs: number): boolean {
  return (shop.closing.doneMs ?? -Infinity) >= sinceMs
}

import { createHash } from 'node:crypto'
import type { NoticeStore } from '../core/model/ports/notice-store.ts'
import type { SendOutcome } from '../core/model/ports/notify.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import { nextTryMs, planDeliveries, targetKey, type Shipment, type Target } from './plan-deliveries.ts'

export interface DeliveryParts {
  readonly book: Pick<BookOfRecord, 'transaction' | 'pendingNotices' | 'settleNotice'>
  readonly store: NoticeStore
  readonly targetsOf: (contactId: string) => readonly Target[]
  /** Sends to where the target is now. Gives how the target is called in the log, masked. */
  readonly send: (shipment: Shipment) => Promise<{ readonly outcome: SendOutcome; readonly target: string }>
  readonly nowMs: () => number
  readonly log: { readonly error: (context: object, text: string) => void }
}

export interface Deliveries {
  /** Looks at what waits and begins to send what is due. Called after commits and by a timer. */
  readonly round: () => void
  /** Begins nothing new, and waits for what is on its way. */
  readonly stop: () => Promise<void>
}

const MOST_PENDING = 10_000

/**
 * Brings notices to people. At least once: a delivery is marked after its channel took it, so a crash between the two
 * sends it again under the same key. One at a time to each target; targets do not wait for each other.
 */
export function createDeliveries(parts: DeliveryParts): Deliveries {
  const { book, store, targetsOf, nowMs, log } = parts
  const busy = new Map<string, Promise<void>>()
  let stopped = false
  let again = false

  function round(): void {
    if (stopped) return
    const pending = book.pendingNotices(MOST_PENDING)
    const waiting = store.waitingDeliveries()
    if (pending.length === 0 && waiting.length === 0) return
    const deliveries = store.deliveriesOf(pending.map((p) => p.notice.key))
    const held = new Set(deliveries.map((d) => d.id))
    const all = [...deliveries, ...waiting.filter((d) => !held.has(d.id))]
    // What is on its way is judged when it has arrived.
    const still = all.filter((d) => d.state !== 'waiting' || !busy.has(targetKey(d)))
    const onItsWay = new Set(all.filter((d) => !still.includes(d)).map((d) => d.noticeKey))
    const plan = planDeliveries({ pending, deliveries: still, targetsOf, nowMs: nowMs() })
    const settle = plan.settle.filter((s) => !onItsWay.has(s.key))
    const add = plan.add.filter((d) => !onItsWay.has(d.noticeKey))
    const summaries = plan.send.filter((s) => s.summaryKey !== null)
    if (add.length + plan.end.length + settle.length + summaries.length > 0) {
      book.transaction(() => {
        add.forEach(store.addDelivery)
        for (const { delivery, state, reason } of plan.end) {
          store.setDelivery({ ...delivery, state, summaryKey: null })
          if (state !== 'replaced') logEnd(delivery, reason, state === 'late' ? 'late' : 'dead')
        }
        for (const { key, outcome } of settle) book.settleNotice({ key, outcome, atMs: nowMs() })
        for (const { deliveries: some, summaryKey } of summaries)
          for (const d of some) store.setDelivery({ ...d, summaryKey })
      })
    }
    for (const shipment of plan.send) begin(shipment)
    if (add.length > 0) soon()
  }

  function logEnd(
    d: { noticeKey: string; contactId: string; channel: Shipment['channel'] },
    reason: string,
    outcome: 'late' | 'dead',
  ): void {
    const { noticeKey, contactId, channel } = d
    store.logAttempt({ atMs: nowMs(), noticeKey, contactId, channel, target: '', outcome, reason })
  }

  function soon(): void {
    if (again || stopped) return
    again = true
    setImmediate(() => {
      again = false
      guarded(round)
    })
  }

  function begin(shipment: Shipment): void {
    const key = targetKey(shipment)
    if (busy.has(key)) return
    const work = parts
      .send(shipment)
      .catch((error: unknown) => ({
        outcome: {
          kind: 'later' as const,
          reason: `something broke inside: ${textOf(error)}`,
          retryAfterMs: null,
        },
        target: '',
      }))
      .then(({ outcome, target }) => guarded(() => mark(shipment, outcome, target)))
      .finally(() => {
        busy.delete(key)
        soon()
      })
    busy.set(key, work)
  }

  function mark(
    { deliveries, notice, channel, contactId, targetId }: Shipment,
    outcome: SendOutcome,
    target: string,
  ): void {
    const atMs = nowMs()
    const reason = outcome.kind === 'taken' ? '' : outcome.reason
    book.transaction(() => {
      for (const d of deliveries) {
        const attempts = d.attempts + (outcome.kind === 'taken' ? 0 : 1)
        const spread = spreadOf(`${d.noticeKey} ${targetKey(d)} ${attempts}`)
        const nextMs =
          outcome.kind === 'later'
            ? nextTryMs({ attempts, retryAfterMs: outcome.retryAfterMs, spread, nowMs: atMs })
            : d.nextMs
        const state = outcome.kind === 'later' ? 'waiting' : outcome.kind
        store.setDelivery({ id: d.id, state, attempts, nextMs, summaryKey: null })
      }
      store.logAttempt({
        atMs,
        noticeKey: notice.key,
        contactId,
        channel,
        target,
        outcome: outcome.kind,
        reason,
      })
      if (channel === 'push' && outcome.kind === 'taken') store.noteDeviceOk(targetId, atMs)
      if (channel === 'push' && outcome.kind === 'dead' && outcome.gone) store.removeDevice(targetId)
    })
  }

  function guarded(work: () => void): void {
    try {
      work()
    } catch (error) {
      log.error({ reason: textOf(error) }, 'a delivery could not be written down; it is tried again')
    }
  }

  return {
    round: () => guarded(round),
    stop: async () => {
      stopped = true
      await Promise.all(busy.values())
    },
  }
}

/** 0 to 1, the same for the same text: so that many that failed together do not all come back at once. */
function spreadOf(text: string): number {
  return createHash('sha256').update(text).digest().readUInt32BE(0) / 0xffffffff
}

function textOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

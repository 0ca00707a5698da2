import type { Notice } from '../core/model/notice.ts'
import type { Delivery, DeliveryState, NewDelivery } from '../core/model/ports/notice-store.ts'
import type { Channel } from '../core/model/ports/notify.ts'
import type { PendingNotice } from '../core/model/ports/records.ts'

/** Older than this and tried before, several are told as one. Starting value. */
export const SUMMARY_AFTER_MS = 5 * 60_000
/** What could not be told is given up this long after its time was over. */
export const GIVE_UP_AFTER_MS = 24 * 3_600_000
const FIRST_BACK_OFF_MS = 5_000
const LONGEST_BACK_OFF_MS = 5 * 60_000
/** No other side may make us wait longer than this. */
const LONGEST_WAIT_MS = 3_600_000

export type Target = Pick<NewDelivery, 'channel' | 'targetId'>

export interface DeliveryWorld {
  readonly pending: readonly PendingNotice[]
  /** Of the pending notices, and all that wait. */
  readonly deliveries: readonly Delivery[]
  readonly targetsOf: (contactId: string) => readonly Target[]
  readonly nowMs: number
}

/** One thing to send to one target: a notice, or several as one. */
export interface Shipment {
  readonly contactId: string
  readonly channel: Channel
  readonly targetId: string
  readonly deliveries: readonly Delivery[]
  readonly notice: Notice
  /** Set when it is a summary. */
  readonly summaryKey: string | null
}

export interface DeliveryPlan {
  readonly add: readonly NewDelivery[]
  readonly end: readonly {
    readonly delivery: Delivery
    readonly state: DeliveryState
    readonly reason: string
  }[]
  readonly settle: readonly { readonly key: string; readonly outcome: 'delivered' | 'givenUp' }[]
  /** At most one to each target. */
  readonly send: readonly Shipment[]
}

/**
 * What is to be done with the notices that wait. Pure.
 *
 * DELIVER-1 a notice goes once to every channel that its contact has when it leaves: one delivery each.
 * DELIVER-2 each delivery has its own fate, and each target its own line: none waits for another.
 * DELIVER-4 what has grown old in the line is told as one: several that wait for more than five minutes and were tried,
 *           and all whose time is over. A summary that was on its way when the monitor ended goes out again the same.
 * DELIVER-5 a notice settles when all its deliveries have ended, as delivered if any channel took it.
 * DELIVER-6 a notice that was replaced by a newer one is not sent any more; a target that is no more gets nothing; a day
 *           after its time a notice is given up.
 */
export function planDeliveries(world: DeliveryWorld): DeliveryPlan {
  const pendingOf = new Map(world.pending.map((p) => [p.notice.key, p]))
  const known = new Set(world.deliveries.map((d) => d.noticeKey))
  const fresh = world.pending.filter((p) => !known.has(p.notice.key))
  const add = fresh.flatMap(({ notice: { key, contactId } }) =>
    world.targetsOf(contactId).map((t) => ({ ...t, noticeKey: key, contactId, nextMs: world.nowMs })),
  )
  const waiting = world.deliveries.filter((d) => d.state === 'waiting')
  const end = waiting.flatMap((delivery) => endOf(delivery, pendingOf.get(delivery.noticeKey), world))
  const ended = new Map(end.map((e) => [e.delivery.id, e.state]))
  const alive = waiting.filter((d) => !ended.has(d.id))
  const withoutTarget = fresh.filter(({ notice }) => !add.some((d) => d.noticeKey === notice.key))
  return {
    add,
    end,
    settle: [
      ...withoutTarget.map(({ notice }) => ({ key: notice.key, outcome: 'givenUp' as const })),
      ...settled(world, ended),
    ],
    send: [...byTarget(alive).values()].flatMap((line) => shipmentOf(line, pendingOf, world.nowMs) ?? []),
  }
}

function endOf(
  delivery: Delivery,
  pending: PendingNotice | undefined,
  { targetsOf, nowMs }: DeliveryWorld,
): DeliveryPlan['end'] {
  if (!pending) return [{ delivery, state: 'replaced', reason: 'a newer notice took its place' }]
  const still = targetsOf(delivery.contactId).some((t) => targetKey(t) === targetKey(delivery))
  if (!still) return [{ delivery, state: 'dead', reason: 'this way to the contact was taken away' }]
  const over = nowMs > pending.notice.expiresMs + GIVE_UP_AFTER_MS
  return over ? [{ delivery, state: 'late', reason: 'it could not be sent for a day' }] : []
}

function settled(world: DeliveryWorld, ended: ReadonlyMap<number, DeliveryState>): DeliveryPlan['settle'] {
  const statesOf = new Map<string, DeliveryState[]>()
  for (const d of world.deliveries) {
    statesOf.set(d.noticeKey, [...(statesOf.get(d.noticeKey) ?? []), ended.get(d.id) ?? d.state])
  }
  return world.pending.flatMap(({ notice: { key } }) => {
    const states = statesOf.get(key)
    if (!states || states.includes('waiting')) return []
    return [{ key, outcome: states.includes('taken') ? ('delivered' as const) : ('givenUp' as const) }]
  })
}

export function targetKey({ channel, targetId }: Target): string {
  return `${channel} ${targetId}`
}

function byTarget(deliveries: readonly Delivery[]): ReadonlyMap<string, readonly Delivery[]> {
  const lines = new Map<string, Delivery[]>()
  for (const d of deliveries) {
    // One address may be that of two contacts: each has its own line.
    const key = `${targetKey(d)} ${d.contactId}`
    lines.set(key, [...(lines.get(key) ?? []), d])
  }
  return lines
}

/** The next to go of one line, or null when nothing is due. */
function shipmentOf(
  line: readonly Delivery[],
  pendingOf: ReadonlyMap<string, PendingNotice>,
  nowMs: number,
): Shipment | null {
  const [first] = line
  if (!first) return null
  const noticeOf = (d: Delivery): PendingNotice | undefined => pendingOf.get(d.noticeKey)
  const { contactId, channel, targetId } = first
  const to = { contactId, channel, targetId }
  const begun = line.filter((d) => d.summaryKey !== null)
  const grouped = begun.length > 0 ? begun : line.filter((d) => isStale(d, noticeOf(d), nowMs))
  const over = grouped.some((d) => nowMs > (noticeOf(d)?.notice.expiresMs ?? Infinity))
  if (begun.length > 0 || grouped.length > 1 || over) {
    if (grouped.some((d) => d.nextMs > nowMs) && begun.length === 0) return nextFresh()
    const notices = grouped.flatMap((d) => noticeOf(d)?.notice ?? [])
    const notice = summaryOf(notices, begun[0]?.summaryKey ?? null, nowMs)
    return notice && { ...to, deliveries: grouped, notice, summaryKey: notice.key }
  }
  return nextFresh()

  function nextFresh(): Shipment | null {
    const due = line.find((d) => d.nextMs <= nowMs && nowMs <= (noticeOf(d)?.notice.expiresMs ?? -Infinity))
    const pending = due && noticeOf(due)
    return due && pending ? { ...to, deliveries: [due], notice: pending.notice, summaryKey: null } : null
  }
}

function isStale(d: Delivery, pending: PendingNotice | undefined, nowMs: number): boolean {
  if (!pending) return false
  return nowMs > pending.notice.expiresMs || (d.attempts > 0 && nowMs - pending.queuedMs > SUMMARY_AFTER_MS)
}

/** Several notices in one, in the order in which they came. A link to answer by is left out: it would answer for one. */
export function summaryOf(notices: readonly Notice[], key: string | null, nowMs: number): Notice | null {
  const newest = notices.at(-1)
  if (!newest) return null
  const lines = notices.map((n) => `- ${n.title}`)
  const shown = lines.length > 20 ? [...lines.slice(0, 20), `- and ${lines.length - 20} more`] : lines
  return {
    ...newest,
    key: key ?? `summary|${notices.length}|${newest.key.slice(-180)}`,
    alarmId: null,
    title:
      notices.length === 1 ? `Late: ${newest.title}`.slice(0, 200) : `${notices.length} notices came late`,
    body: [
      'These could not be sent in time. Some may be over by now; the board shows how it is.',
      '',
      ...shown,
    ]
      .join('\n')
      .slice(0, 4000),
    topic: 'summary',
    asksForReply: false,
    page: '/',
    expiresMs: nowMs + GIVE_UP_AFTER_MS,
  }
}

/**
 * DELIVER-3 tried again after what the other side asked for (an hour at most), else after 5 s, doubling up to 5 min;
 * moved by up to a fifth, which follows from `spread` (0 to 1) and so from the notice's key.
 */
export function nextTryMs(of: {
  attempts: number
  retryAfterMs: number | null
  spread: number
  nowMs: number
}): number {
  const backOffMs = Math.min(FIRST_BACK_OFF_MS * 2 ** Math.max(0, of.attempts - 1), LONGEST_BACK_OFF_MS)
  const ownMs = backOffMs * (0.8 + 0.4 * of.spread)
  return Math.round(of.nowMs + Math.max(ownMs, Math.min(of.retryAfterMs ?? 0, LONGEST_WAIT_MS)))
}

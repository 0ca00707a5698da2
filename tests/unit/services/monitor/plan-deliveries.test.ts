import { describe, expect, it } from 'vitest'
import type { Delivery } from '../../../../services/core/model/ports/notice-store.ts'
import {
  GIVE_UP_AFTER_MS,
  nextTryMs,
  planDeliveries,
  SUMMARY_AFTER_MS,
  type DeliveryWorld,
} from '../../../../services/monitor/plan-deliveries.ts'
import { noticeOf, T0 } from '../../../contracts/record-samples.ts'

const pending = (key: string, queuedMs = T0, expiresMs = T0 + 3_600_000) => ({
  notice: noticeOf({ key, topic: key, title: `Title ${key}`, expiresMs }),
  queuedMs,
})
const delivery = (id: number, noticeKey: string, change: Partial<Delivery> = {}): Delivery => ({
  ...{ id, noticeKey, contactId: 'first', channel: 'mail', targetId: 'first', state: 'waiting' },
  ...{ attempts: 0, nextMs: T0, summaryKey: null, ...change },
})
const world = (change: Partial<DeliveryWorld>): DeliveryWorld => ({
  ...{ pending: [], deliveries: [], nowMs: T0, ...change },
  targetsOf:
    change.targetsOf ??
    (() => [
      { channel: 'push', targetId: 'device-1' },
      { channel: 'mail', targetId: 'first' },
    ]),
})

describe('planning deliveries', () => {
  it('DELIVER-1 a new notice gets a delivery for each channel, once', () => {
    const plan = planDeliveries(world({ pending: [pending('a')] }))
    expect(plan.add.map((d) => d.channel)).toEqual(['push', 'mail'])
    expect(planDeliveries(world({ pending: [pending('a')], deliveries: [delivery(1, 'a')] })).add).toEqual([])
  })
  it('DELIVER-2 a target that waits for its next try holds up no other', () => {
    const deliveries = [
      delivery(1, 'a', { channel: 'push', targetId: 'device-1', nextMs: T0 + 1, attempts: 1 }),
      delivery(2, 'a'),
      delivery(3, 'b'),
    ]
    const { send } = planDeliveries(world({ pending: [pending('a'), pending('b')], deliveries }))
    expect(send.map((s) => s.deliveries.map((d) => d.id))).toEqual([[2]])
  })
  it('DELIVER-3 back-off doubles to 5 min, is spread by a fifth, and gives way to Retry-After up to an hour', () => {
    const at = (attempts: number, retryAfterMs: number | null = null, spread = 0.5) =>
      nextTryMs({ attempts, retryAfterMs, spread, nowMs: 0 })
    expect([1, 2, 3, 30].map((n) => at(n))).toEqual([5_000, 10_000, 20_000, 300_000])
    expect([at(1, null, 0), at(1, null, 1)]).toEqual([4_000, 6_000])
    expect([at(1, 60_000), at(1, 1_000), at(1, 1e9)]).toEqual([60_000, 5_000, 3_600_000])
  })
  it('DELIVER-4 several that were tried and have grown old go as one, with every title', () => {
    const nowMs = T0 + SUMMARY_AFTER_MS + 1
    const deliveries = [delivery(1, 'a', { attempts: 3 }), delivery(2, 'b', { attempts: 3 })]
    const given = world({ pending: [pending('a'), pending('b')], deliveries, nowMs })
    const { send } = planDeliveries(given)
    expect(send).toHaveLength(1)
    expect(send[0]?.notice.body).toMatch(/Title a[^]*Title b/)
    expect(send[0]?.notice.asksForReply).toBe(false)
    const begun = deliveries.map((d) => ({ ...d, summaryKey: 'summary|7' }))
    const more = [...begun, delivery(3, 'c', { attempts: 3 })]
    const restarted = planDeliveries({
      ...given,
      pending: [...given.pending, pending('c')],
      deliveries: more,
    })
    expect(restarted.send[0]).toMatchObject({ summaryKey: 'summary|7', deliveries: begun })
  })
  it('DELIVER-4 one that is old and still holds goes by itself; one whose time is over goes as late', () => {
    const nowMs = T0 + SUMMARY_AFTER_MS + 1
    const deliveries = [delivery(1, 'a', { attempts: 3 })]
    const alone = planDeliveries(world({ pending: [pending('a')], deliveries, nowMs }))
    expect(alone.send[0]).toMatchObject({ summaryKey: null, notice: { key: 'a' } })
    const late = planDeliveries(world({ pending: [pending('a', T0, T0 + 1)], deliveries, nowMs }))
    expect(late.send[0]?.notice.title).toBe('Late: Title a')
  })
  it('DELIVER-5 a notice settles when all its deliveries have ended, as delivered if one was taken', () => {
    const push = { channel: 'push', targetId: 'device-1' } as const
    const settled = (...states: Delivery['state'][]) =>
      planDeliveries(
        world({
          pending: [pending('a')],
          deliveries: states.map((state, i) => delivery(i, 'a', { state, ...(i === 1 ? push : {}) })),
        }),
      ).settle
    expect(settled('taken', 'waiting')).toEqual([])
    expect(settled('taken', 'dead')).toEqual([{ key: 'a', outcome: 'delivered' }])
    expect(settled('dead', 'dead')).toEqual([{ key: 'a', outcome: 'givenUp' }])
    const nobody = planDeliveries(world({ pending: [pending('a')], targetsOf: () => [] }))
    expect(nobody.settle).toEqual([{ key: 'a', outcome: 'givenUp' }])
  })
  it('DELIVER-6 replaced, without a target, or a day over: it ends', () => {
    const states = (change: Partial<DeliveryWorld>) =>
      planDeliveries(world({ deliveries: [delivery(1, 'a')], ...change })).end.map((e) => e.state)
    expect(states({})).toEqual(['replaced'])
    expect(states({ pending: [pending('a')], targetsOf: () => [] })).toEqual(['dead'])
    expect(states({ pending: [pending('a', T0, T0)], nowMs: T0 + GIVE_UP_AFTER_MS + 1 })).toEqual(['late'])
    expect(states({ pending: [pending('a')] })).toEqual([])
  })
})

import { describe, expect, it } from 'vitest'
import { createAlarmsModel } from '../../../dashboards/src/models/alarms-model.ts'
import { UNREACHABLE, type Answer } from '../../../dashboards/src/api/answer.ts'
import { hashOf, routeOf } from '../../../dashboards/src/models/route.ts'
import {
  groupOf,
  keptWords,
  setAsideLine,
  SHELF_TIMES,
  standingLine,
} from '../../../dashboards/src/words/alarm-words.ts'
import { LONGEST_SHELF_MS } from '../../../services/core/model/alarm.ts'
import { inventedAlarmList, inventedMeasures } from '../../parts/invented-alarm-list.ts'
import { SHOP_NOW_MS } from '../../parts/invented-shop.ts'

const now = { timeZone: 'Europe/Brussels', nowMs: SHOP_NOW_MS }
const list = inventedAlarmList(SHOP_NOW_MS)
const lines = list.map((a) => (groupOf(a) === 'setAside' ? setAsideLine(a, now) : standingLine(a, now)))

describe('alarms in words', () => {
  it('each state is told in plain words, with priority, time and how often', () => {
    expect(lines).toEqual([
      'Nobody is on it yet. High priority. Since 21:49.',
      'Mira is on it since 20:10. Low priority. Since 19:21, 3\u00A0times in all.',
      'Over, not yet seen. Low priority. From 20:31 to 21:00.',
      'Shelved by Mira until Fri 13:10: The hauler comes on Friday. It still holds.',
      'Expected: out of service, until somebody says it is back: waits for a part. It still holds.',
    ])
  })
  it('a planned work says when it ends, and what is over for now says so', () => {
    const [, , , , away] = list
    if (!away) throw new Error('the invented list is too short')
    const work = { quietId: 'q', untilMs: SHOP_NOW_MS + 3_600_000, note: '' }
    expect(setAsideLine({ ...away, state: 'suppressedByDesign', quiet: work, returnedMs: 1 }, now)).toBe(
      'Expected: planned work on the power, until 23:10. It is over for now.',
    )
  })
  it('nothing can be shelved for longer than the monitor takes', () => {
    expect(Math.max(...SHELF_TIMES.map((t) => t.minutes)) * 60_000).toBe(LONGEST_SHELF_MS)
  })
  it('kept or not is told by shape and word', () => {
    expect([true, false, null].map((k) => keptWords(k).word)).toEqual(['kept', 'not kept', 'not judged'])
    expect(new Set([true, false, null].map((k) => keptWords(k).mark)).size).toBe(3)
  })
  it('the page has its address', () => {
    expect(routeOf('#/alarms')).toEqual({ page: 'alarms' })
    expect(hashOf({ page: 'alarms' })).toBe('#/alarms')
  })
})

describe('the model of the page', () => {
  const done: Answer<unknown> = { ok: true, value: null }
  const model = (answer: Answer<unknown> = done) =>
    createAlarmsModel({
      alarms: async () => ({ ok: true, value: { alarms: list } }),
      alarmMeasures: async () => ({ ok: true, value: inventedMeasures(SHOP_NOW_MS) }),
      acknowledge: async () => answer,
      shelve: async () => answer,
      unshelve: async () => answer,
    })

  it('puts alarms before people, over and set aside, most urgent first', async () => {
    const alarms = model()
    await alarms.load()
    const { asking, over, setAside } = alarms.groups.value ?? { asking: [], over: [], setAside: [] }
    expect([asking.map((a) => a.condition), over.length, setAside.length]).toEqual([
      ['offItsCap', 'airDry'],
      1,
      2,
    ])
    expect(alarms.measures.value?.isCalm).toBe(false)
    alarms.forget()
    expect([alarms.groups.value, alarms.measures.value]).toEqual([null, null])
  })
  it('says what was done, or why it was not', async () => {
    const [first] = list
    if (!first) throw new Error('the invented list is empty')
    const sound = model()
    expect(await sound.shelve(first, { minutes: 60, reason: 'x' })).toBe(true)
    expect(sound.announcement.value).toBe(`Shelved: ${first.title}.`)
    await sound.acknowledge(first)
    expect(sound.announcement.value).toBe(`You are on it: ${first.title}.`)
    await sound.unshelve(first)
    expect(sound.announcement.value).toBe(`Taken off the shelf: ${first.title}.`)
    const dead = model({ ok: false, failure: UNREACHABLE })
    expect(await dead.acknowledge(first)).toBe(false)
    expect([dead.announcement.value, dead.trouble.value]).toEqual(['', expect.stringContaining('monitor')])
  })
})

import { describe, expect, it } from 'vitest'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf } from '../alarms/every-condition.ts'
import { createTellingDesk, type TellingDesk } from '../../../../parts/telling-desk.ts'

const MIN = 60_000
/** Wednesday 25 November 2026, 22:00 in Brussels; the shop opens at 08:30. */
const NIGHT = Date.parse('2026-11-25T21:00:00Z')
const OPENING = 630
/** The same day, 17:00: open until 18:00. */
const AFTERNOON = Date.parse('2026-11-25T16:00:00Z')
const contact = (id: string, change: object = {}) => ({
  id,
  title: id,
  mail: `${id}@example.org`,
  ...change,
})
const shop = (change: Record<string, unknown> = {}): Settings =>
  testSettings({
    contacts: [contact('lena'), contact('bo', { morningReport: false, closingReminder: false })],
    ...change,
  })

function desk(settings = shop(), startMs = NIGHT): TellingDesk {
  const made = createTellingDesk(settings, startMs)
  for (const { id } of settings.contacts) made.say({ type: 'replyPathProven', contactId: id })
  return made
}
const kinds = (d: TellingDesk, kind: string) => d.notices.filter((n) => n.kind === kind)

describe('who is told, when', () => {
  it('TELL-1 only what cannot wait is told at once, by night and by day', () => {
    const night = desk()
    night.raise('a', { urgency: 'beforeOpening' }, 'airDry')
    night.raise('b', { urgency: 'today' }, 'sensorSilent')
    night.waitUntil(60)
    expect(night.notices).toEqual([])
    const day = desk(
      shop({
        contacts: [contact('night', { times: 'closedHours' }), contact('day', { times: 'openHours' })],
      }),
      AFTERNOON,
    )
    day.raise('c')
    expect(day.lines()).toEqual(['0 day alarm'])
    expect(day.notices[0]).toMatchObject({ urgency: 'high', topic: 'alarm|c', page: '/alarms' })
  })

  it('TELL-2 what joins, or changes its words, is not told by itself; what comes to call again is', () => {
    const d = desk()
    d.raise('a', { urgency: 'beforeOpening' })
    d.change('a', { urgency: 'now', title: 'grown' })
    expect(d.lines()).toEqual(['0 lena alarm'])
    d.change('a', { episodeIds: ['x', 'y'], title: 'other words' })
    expect(d.lines()).toHaveLength(1)
    d.change('a', { state: 'acknowledged' })
    d.waitUntil(60)
    d.change('a', { state: 'unacknowledged' })
    expect(d.lines()).toEqual(['0 lena alarm', '60 lena alarm'])
    expect(new Set(d.notices.map((n) => n.key)).size).toBe(2)
  })

  it.each(['acknowledged', 'shelved', 'suppressedByDesign', 'outOfService'] as const)(
    'TELL-3 %s: nobody is asked any more, and the end is told',
    (state) => {
      const d = desk()
      d.raise('a')
      d.change('a', { state })
      d.waitUntil(120)
      expect(d.lines()).toEqual(['0 lena alarm'])
      d.change('a', { state: 'normal', returnedMs: NIGHT + 120 * MIN })
      d.waitUntil(300)
      expect(d.lines()).toEqual(['0 lena alarm', '120 lena over'])
    },
  )

  it('TELL-3 an alarm that can wait again asks nobody', () => {
    const d = desk()
    d.raise('a')
    d.change('a', { urgency: 'today' })
    d.waitUntil(120)
    expect(d.lines()).toEqual(['0 lena alarm'])
  })

  it('TELL-4 over is told once to those who were told, also where nobody acknowledged it', () => {
    const d = desk()
    d.raise('a')
    d.waitUntil(12)
    d.change('a', { state: 'returnedUnacknowledged', returnedMs: NIGHT + 12 * MIN })
    d.change('a', { state: 'normal' })
    d.waitUntil(300)
    expect(d.lines().filter((line) => line.endsWith('over'))).toEqual(['12 lena over', '12 bo over'])
    const other = desk()
    other.raise('b', { urgency: 'today' })
    other.change('b', { state: 'normal', returnedMs: NIGHT })
    expect(other.lines()).toEqual([])
  })

  it('TELL-4 what was withdrawn turned out otherwise', () => {
    const d = desk()
    d.raise('a')
    d.change('a', { state: 'normal', revision: 'withdrawn', returnedMs: NIGHT })
    expect(d.notices[1]).toMatchObject({ kind: 'over', topic: d.notices[0]?.topic })
    expect(d.notices[1]?.title).toMatch(/^It turned out otherwise: /)
  })

  /** An outage that somebody was told of: the mains of the shop, and a machine that fell with it. */
  function outage(): TellingDesk {
    const d = desk()
    const episodes = (['mainsLost', 'powerLost'] as const).map((c) => episodeOf(c))
    for (const episode of episodes) {
      d.state().shop.episodes.set(episode.id, { episode, alarmId: 'a', holdUntilMs: NIGHT })
    }
    const episodeIds = episodes.map((e) => e.id)
    d.raise('a', { rootKey: 'outage', urgency: 'now', episodeIds }, 'mainsLost')
    d.change('a', { state: 'acknowledged' })
    return d
  }
  const over = (d: TellingDesk, condition: 'mainsLost' | 'powerLost'): void => {
    d.state().shop.episodes.delete(episodeOf(condition).id)
    d.change('a', { condition: 'powerLost', urgency: 'beforeOpening' })
  }

  it('TELL-5 the mains is back and a machine is not: said three minutes later, and over when the machine is on', () => {
    const d = outage()
    d.waitUntil(20)
    over(d, 'mainsLost')
    d.waitUntil(200)
    expect(d.lines()).toEqual(['0 lena alarm', '23 lena over'])
    expect(d.notices[1]).toMatchObject({
      title: 'Mains is back, Roll 60, left bench is not',
      asksForReply: false,
    })
    expect(d.notices[1]?.body).toContain('leave it off and call an electrician')
    over(d, 'powerLost')
    d.change('a', { state: 'normal', returnedMs: NIGHT + 200 * MIN })
    expect(d.notices.at(-1)).toMatchObject({
      minute: 200,
      title: 'Over: Quayside Film & Print: no mains power',
    })
  })

  it('TELL-5 machines that come back with the mains make one end of it', () => {
    const d = outage()
    d.waitUntil(20)
    over(d, 'mainsLost')
    d.waitUntil(22)
    over(d, 'powerLost')
    d.change('a', { state: 'normal', returnedMs: NIGHT + 22 * MIN })
    d.waitUntil(200)
    expect(d.lines()).toEqual(['0 lena alarm', '23 lena over'])
  })

  it('TELL-6 from the fourth on they are one message with one answer, and one end', () => {
    const d = desk()
    for (const id of ['a', 'b', 'c', 'd', 'e']) d.raise(id)
    expect(d.notices.map((n) => n.title)).toEqual([
      ...Array.from({ length: 3 }, () => 'Roll 60, left bench: power lost while printing'),
      '4 things at once cannot wait',
    ])
    d.waitUntil(5)
    expect(d.notices.at(-1)?.title).toBe('Still open: 5 things at once cannot wait')
    expect(d.notices.at(-1)?.body).toContain('Answer that you are on it, for all of them')
    d.change('c', { state: 'acknowledged' })
    d.waitUntil(200)
    expect(d.notices).toHaveLength(5)
    for (const id of ['a', 'b', 'c', 'd', 'e'])
      d.change(id, { state: 'normal', returnedMs: NIGHT + 200 * MIN })
    expect(kinds(d, 'over').map((n) => n.title)).toEqual(['Over: 5 things at once cannot wait'])
  })

  it('TELL-6 one of many that comes to call again is told by itself', () => {
    const d = desk()
    for (const id of ['a', 'b', 'c', 'd']) d.raise(id)
    d.change('a', { state: 'acknowledged' })
    d.waitUntil(60)
    d.change('a', { state: 'unacknowledged' })
    expect(d.notices.at(-1)).toMatchObject({ kind: 'alarm', topic: 'alarm|a', minute: 60 })
  })

  it('TELL-7 a contact who is set while something cannot wait is told of it', () => {
    const d = desk(shop({ contacts: [] }))
    d.raise('a')
    expect(d.notices).toEqual([])
    d.changeSettings(shop())
    expect(d.lines()).toEqual(['0 lena alarm'])
  })
})

describe('what is told by the hours', () => {
  it('HOURS-1 a morning report at opening, to those who want it, if anything happened', () => {
    const d = desk()
    d.raise('a', { urgency: 'beforeOpening' }, 'airDry')
    d.waitUntil(60)
    d.change('a', { state: 'normal', returnedMs: NIGHT + 60 * MIN })
    d.waitUntil(OPENING + 30)
    expect(d.notices).toMatchObject([
      { minute: OPENING, contactId: 'lena', kind: 'morningReport', urgency: 'normal', page: '/morning' },
    ])
    expect(d.notices[0]?.body).toContain('Nobody was called.')
    d.waitUntil(OPENING + 24 * 60)
    expect(kinds(d, 'morningReport')).toHaveLength(1)
  })

  it('HOURS-1 what had stood open since the day is not of the night, unless somebody was called for it', () => {
    const d = desk(shop(), AFTERNOON)
    d.raise('a', { urgency: 'today' }, 'airDry')
    d.raise('b', { urgency: 'today' }, 'bottleFull')
    d.waitUntil(61)
    d.change('a', { urgency: 'beforeOpening' })
    d.change('b', { urgency: 'now' })
    d.waitUntil(16 * 60)
    const report = kinds(d, 'morningReport')[0]
    expect(report?.title).toBe('Good morning: called for 1 thing')
    expect(report?.body).not.toContain('On record')
  })

  it('HOURS-1 what planned quiet explains is no news', () => {
    const d = desk()
    d.raise('a', { urgency: 'beforeOpening', state: 'suppressedByDesign' }, 'powerLost')
    d.waitUntil(OPENING + 30)
    expect(d.notices).toEqual([])
  })

  it('HOURS-2 a reminder half an hour after closing, to those who want it, where nobody did the closing list', () => {
    const d = desk(
      shop({ contacts: [contact('lena'), contact('bo', { closingReminder: false })] }),
      AFTERNOON,
    )
    d.waitUntil(200)
    expect(d.notices).toMatchObject([
      { minute: 90, contactId: 'lena', kind: 'closingReminder', page: '/closing', urgency: 'normal' },
    ])
  })

  it('HOURS-3 a closing of under four hours is a break', () => {
    const weekly = [1, 2, 3, 4, 5].flatMap((weekday) => [
      { weekday, opens: '08:30', closes: '17:10' },
      { weekday, opens: '20:00', closes: '21:00' },
    ])
    const d = desk(shop({ hours: { weekly, holidays: [] } }), AFTERNOON)
    d.raise('a', { urgency: 'today' }, 'airDry')
    d.waitUntil(239)
    expect(d.notices).toEqual([])
    d.waitUntil(280)
    expect(d.notices).toMatchObject([{ kind: 'closingReminder', minute: 270 }])
  })

  it('HOURS-4 a shop without hours has no morning', () => {
    const d = desk(shop({ hours: { weekly: [], holidays: [] } }))
    d.raise('a', { urgency: 'beforeOpening' }, 'airDry')
    d.waitUntil(3000)
    expect(d.notices).toEqual([])
  })

  it('hours that change move what is due', () => {
    const d = desk(shop(), AFTERNOON)
    const weekly = [{ weekday: 3, opens: '08:30', closes: '20:00' }]
    d.changeSettings(shop({ hours: { weekly, holidays: [] } }))
    d.waitUntil(209)
    expect(d.notices).toEqual([])
    d.waitUntil(211)
    expect(d.notices).toMatchObject([{ kind: 'closingReminder', minute: 210 }])
  })
})

describe('a test', () => {
  it('goes to that contact alone, asks for an answer, and each asking is a notice of its own', () => {
    const d = desk()
    d.say({ type: 'noticeTestAsked', contactId: 'bo' })
    d.say({ type: 'noticeTestAsked', contactId: 'bo' })
    d.say({ type: 'noticeTestAsked', contactId: 'nobody' })
    expect(d.notices).toMatchObject([
      { contactId: 'bo', kind: 'test', alarmId: null, asksForReply: true, topic: 'test' },
      { contactId: 'bo', kind: 'test' },
    ])
    expect(new Set(d.notices.map((n) => n.key)).size).toBe(2)
  })
})

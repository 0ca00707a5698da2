import { describe, expect, it } from 'vitest'
import { tellStory, type Story, type ToldStory } from '../../../../parts/story.ts'
import {
  calmWinter,
  FALL,
  powerFails as powerFailsInWinter,
  winterMinute as at,
  winterSensor as sensor,
  winterShop,
  WINTER_START_MS as START,
  type WinterValues,
} from '../../../../parts/winter-shop.ts'

const HOUR = 60
const DAY = 24 * HOUR
const MIN = 60_000
const lena = { id: 'lena', title: 'Lena', mail: 'lena@example.org' }
const bo = { id: 'bo', title: 'Bo', mail: 'bo@example.org', morningReport: false, closingReminder: false }

/** The winter shop, with its mains watched by a node of its own. */
function shop(change: Record<string, unknown> = {}) {
  const { nodes, sensors } = winterShop()
  return winterShop({
    nodes: [...nodes, { id: 'ups' }],
    sensors: [...sensors, sensor('ups/mains', 'powered', 'site', 'quayside')],
    contacts: [lena, bo],
    ...change,
  })
}

const bySensor = ({ humidity, temperature, film, spare }: WinterValues): Record<string, number> => ({
  'bench/humidity': humidity,
  'bench/temperature': temperature,
  'bench/film': film,
  'bench/spare': spare,
  'ups/mains': 1,
})
const calm = (minute: number): Record<string, number> => bySensor(calmWinter(minute))
const powerFails = (backAt: number) => {
  const values = powerFailsInWinter(backAt)
  return (minute: number): Record<string, number> => bySensor(values(minute))
}

const proven = (minute: number, ...ids: string[]): NonNullable<Story['said']> =>
  ids.map((contactId) => [minute, { type: 'replyPathProven', contactId }] as const)
const live = (change: Partial<Story> = {}): ToldStory =>
  tellStory({ settings: shop(), startMs: START, minutes: 5 * DAY, values: calm, ...change })

/** The same night alone, from nine in the evening to nine in the morning. */
const EVENING = at(2, '21:00')
const thatNight = ({
  said = [],
  settings = shop(),
  values = powerFails(FALL + 55),
}: Partial<Story>): ToldStory => {
  const story = tellStory({
    settings,
    startMs: START + EVENING * MIN,
    minutes: 12 * HOUR,
    values: (minute) => values(minute + EVENING),
    said: said.map(([minute, body]) => [minute - EVENING, body] as const),
  })
  return { ...story, notices: story.notices.map((n) => ({ ...n, minute: n.minute + EVENING })) }
}

/** What came of an alarm, minutes after the fall: who got what. */
const aboutAlarms = ({ notices }: ToldStory) =>
  notices.filter((n) => n.alarmId !== null).map((n) => `${n.minute - FALL} ${n.contactId} ${n.kind}`)
const ofKind = ({ notices }: ToldStory, kind: string) => notices.filter((n) => n.kind === kind)

/** The first alarm of the week. */
const ALARM = 'alarm-1'

describe('a winter week', () => {
  const week = live({ values: powerFails(FALL + 55), said: proven(1, 'lena', 'bo') })

  it('power that falls on a printing machine is told within two minutes, goes on to the next, and is over once', () => {
    expect(aboutAlarms(week)).toEqual([
      '2 lena alarm',
      '7 lena reminder',
      '12 bo escalation',
      '12 lena reminder',
      '17 bo reminder',
      // All were asked: once more from the first.
      '22 lena escalation',
      '27 lena reminder',
      '32 bo escalation',
      '32 lena reminder',
      '37 bo reminder',
      '42 bo reminder',
      // The power came at 55; two minutes later the carriage has gone home.
      '57 lena over',
      '57 bo over',
    ])
    const [first] = week.notices.filter((n) => n.kind === 'alarm')
    expect(first).toMatchObject({
      title: 'Film printer: power lost while printing',
      urgency: 'high',
      asksForReply: true,
    })
    expect(first?.body).toContain('Answer if you are on it: else Bo is asked at 02:22.')
    expect(ofKind(week, 'over')[0]).toMatchObject({
      title: 'Over: Film printer: power lost while printing',
      asksForReply: false,
      topic: first?.topic,
    })
    expect(ofKind(week, 'over')[0]?.body).toContain('from 02:10 to 03:07')
  })

  it('twenty minutes on a capped machine are on record and in the morning report, and wake nobody', () => {
    const spare = week.notices.filter((n) => `${n.title} ${n.body}`.includes('Spare printer'))
    expect(spare).toMatchObject([{ kind: 'morningReport', contactId: 'lena', page: '/morning' }])
    expect(spare[0]?.minute).toBe(at(3, '08:30'))
    expect(spare[0]?.title).toBe('Good morning: called for 1 thing, 2 on record')
    expect(spare[0]?.body).toContain(
      'Somebody was called for: Film printer: power lost while printing (02:10 to 03:07).',
    )
    expect(spare[0]?.body).toContain('Spare printer: power lost (03:10 to 03:30)')
    expect(week.episodes('powerLost')).toHaveLength(2)
  })

  it('all else is silent: one morning report, and a reminder on each day without a closing list', () => {
    expect(ofKind(week, 'morningReport')).toHaveLength(1)
    expect(ofKind(week, 'closingReminder').map((n) => n.minute)).toEqual(
      [0, 1, 2, 3, 4].map((day) => at(day, '18:30')),
    )
    const quiet = live()
    expect(quiet.notices.filter((n) => n.kind !== 'closingReminder')).toEqual([])
  })

  it('TELL-3 nobody is asked after somebody said that they are on it, and both who were told hear the end', () => {
    const story = thatNight({
      said: [...proven(EVENING, 'lena', 'bo'), [FALL + 14, { type: 'alarmAcknowledged', alarmId: ALARM }]],
    })
    expect(aboutAlarms(story)).toEqual([
      '2 lena alarm',
      '7 lena reminder',
      '12 bo escalation',
      '12 lena reminder',
      '57 lena over',
      '57 bo over',
    ])
  })

  it('ASK-3 where replies cannot reach the shop there is one message, one repeat, and nobody else', () => {
    const story = thatNight({ said: proven(EVENING, 'bo') })
    expect(aboutAlarms(story)).toEqual(['2 lena alarm', '7 lena reminder', '57 lena over'])
    for (const n of story.notices.filter((n) => n.kind === 'alarm' || n.kind === 'reminder')) {
      expect(n.body).toContain('Replies cannot reach the shop')
    }
  })

  it('ASK-5 a snooze holds the reminders of one, and never the next from being asked', () => {
    const untilMs = START + (FALL + 40) * MIN
    const story = thatNight({
      said: [
        ...proven(EVENING, 'lena', 'bo'),
        [FALL + 4, { type: 'alarmSnoozed', alarmId: ALARM, contactId: 'lena', untilMs }],
        [FALL + 21, { type: 'alarmAcknowledged', alarmId: ALARM }],
      ],
    })
    expect(aboutAlarms(story)).toEqual([
      '2 lena alarm',
      '12 bo escalation',
      '17 bo reminder',
      '57 lena over',
      '57 bo over',
    ])
  })

  it('TELL-7 without contacts nobody is told, and nothing is due for it', () => {
    const story = thatNight({ settings: shop({ contacts: [] }) })
    expect(story.notices).toEqual([])
    expect(story.alarms.some((a) => a.urgency === 'now')).toBe(true)
  })

  /** All goes dark at ten past two; the machines were at rest and the sensors hang on the same mains. */
  const dark = (settings: Story['settings'], spareBack: number): ToldStory => {
    const away = (minute: number): boolean => minute >= FALL && minute < FALL + 50
    const values = (minute: number): Record<string, number | null> => {
      const all: Record<string, number | null> = { ...calm(minute), 'ups/mains': away(minute) ? 0 : 1 }
      for (let n = 1; n <= 8; n++) all[`bench/air${n}`] = 47 + (((minute + n) * 7) % 11) / 50
      if (away(minute)) for (const id of Object.keys(all)) if (id !== 'ups/mains') all[id] = null
      if (minute >= FALL + 50 && minute < spareBack) all['bench/spare'] = 0
      return all
    }
    return thatNight({ settings, values, said: proven(EVENING, 'lena', 'bo') })
  }
  const twelve = shop({
    sensors: [
      ...shop().sensors,
      ...Array.from({ length: 8 }, (_, n) => sensor(`bench/air${n + 1}`, 'humidity', 'room', 'floor')),
    ],
  })

  it('the mains of the shop out, and twelve sensors silent with it: one notice after a quarter of an hour', () => {
    const story = dark(twelve, FALL + 50)
    expect(story.episodes('sensorSilent')).toHaveLength(12)
    expect(aboutAlarms(story).slice(0, 3)).toEqual(['15 lena alarm', '20 lena reminder', '25 bo escalation'])
    expect(new Set(story.notices.filter((n) => n.alarmId !== null).map((n) => n.topic)).size).toBe(1)
    const [first] = story.notices.filter((n) => n.kind === 'alarm')
    expect(first?.title).toBe('Quayside Film & Print: no mains power')
    expect(aboutAlarms(story).filter((line) => line.endsWith('over'))).toHaveLength(2)
  })

  it('TELL-5 the mains is back and the machine is not: over only once the machine itself is on', () => {
    const story = dark(twelve, FALL + 120)
    const ends = story.notices.filter((n) => n.kind === 'over' && n.contactId === 'lena')
    expect(ends.map((n) => `${n.minute - FALL} ${n.title}`)).toEqual([
      '53 Mains is back, Spare printer is not',
      '120 Over: Quayside Film & Print: no mains power',
    ])
  })
})

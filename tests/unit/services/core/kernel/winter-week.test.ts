import { describe, expect, it } from 'vitest'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { tellStory, type Story, type ToldStory } from '../../../../parts/story.ts'

const HOUR = 60
const DAY = 24 * HOUR
const MIN = 60_000
/** Monday 11 January 2027, 06:00 in Brussels; the shop is open on weekdays from 08:30 to 18:00. */
const START = Date.parse('2027-01-11T05:00:00Z')
const at = (day: number, clock: string): number => {
  const [hour = 0, minute = 0] = clock.split(':').map(Number)
  return (day * 24 + hour - 6) * HOUR + minute
}
/** The night from Wednesday to Thursday. */
const FALL = at(3, '02:10')

const sensor = (id: string, quantity: string, kind: string, subjectId: string) => ({
  id,
  quantity,
  subject: { kind, id: subjectId },
  intervalMs: MIN,
})
const machine = (id: string, title: string) => ({
  id,
  title,
  room: 'floor',
  heads: [
    {
      id: `${id}-head`,
      title: 'Head',
      channelGroups: [
        { id: `${id}-colour`, title: 'Colour', ink: 'colour' },
        { id: `${id}-white`, title: 'White', ink: 'white' },
      ],
    },
  ],
  selfCleaning: { kind: 'everyHours', hours: 4 },
  powerBandsW: { cleaning: [90, 130], printing: [150, 300], cleaningS: [240, 360] },
})
const lena = { id: 'lena', title: 'Lena', mail: 'lena@example.org' }
const bo = { id: 'bo', title: 'Bo', mail: 'bo@example.org', morningReport: false, closingReminder: false }

function shop(change: Record<string, unknown> = {}) {
  return testSettings({
    machines: [machine('film', 'Film printer'), machine('spare', 'Spare printer')],
    bottles: [],
    nodes: [{ id: 'bench' }, { id: 'ups' }],
    sensors: [
      sensor('bench/humidity', 'humidity', 'room', 'floor'),
      sensor('bench/temperature', 'temperature', 'room', 'floor'),
      sensor('bench/film', 'power', 'machine', 'film'),
      sensor('bench/spare', 'power', 'machine', 'spare'),
      sensor('ups/mains', 'powered', 'site', 'quayside'),
    ],
    contacts: [lena, bo],
    ...change,
  })
}

/** At rest, five minutes of cleaning every four hours; by day it prints now and then, so white ink is moved. */
function resting(minute: number): number {
  const ofDay = (minute + 6 * HOUR) % DAY
  if (ofDay % (4 * HOUR) < 5) return 110
  if ([10, 16].some((hour) => ofDay >= hour * HOUR && ofDay < hour * HOUR + 40)) return 200
  return 40 + ((minute * 7) % 11) / 25
}

const calm = (minute: number) => ({
  'bench/humidity': 47 + ((minute * 7) % 11) / 50,
  'bench/temperature': 21 + ((minute * 5) % 7) / 50,
  'bench/film': resting(minute),
  'bench/spare': resting(minute),
  'ups/mains': 1,
})

/** Film prints late on Wednesday night and loses power in the middle of it; the spare, at rest, for 20 min. */
const powerFails =
  (backAt: number) =>
  (minute: number): Record<string, number> => ({
    ...calm(minute),
    ...(minute >= FALL - 90 && minute < FALL ? { 'bench/film': 200 } : {}),
    ...(minute >= FALL && minute < backAt ? { 'bench/film': 0 } : {}),
    ...(minute >= FALL + 60 && minute < FALL + 80 ? { 'bench/spare': 0 } : {}),
  })

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

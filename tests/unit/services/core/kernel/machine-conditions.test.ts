import { describe, expect, it } from 'vitest'
import { vapourPressureDeficitKpa } from '../../../../../services/core/physics/air.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { tellStory, type Story, type ToldStory } from '../../../../parts/story.ts'

const MIN = 60_000
const HOUR = 60
/** 21:00 in Brussels on a Wednesday; the shop opens at 08:30. */
const NIGHT = Date.parse('2026-11-25T20:00:00Z')
/** 16:00 there; it closes at 18:00. */
const AFTERNOON = Date.parse('2026-11-25T15:00:00Z')
/** Friday 18:00, closing time; the shop opens on Monday at 08:30, 62.5 hours later. */
const WEEKEND = Date.parse('2026-11-27T17:00:00Z')

const sensor = (id: string, quantity: string, kind: string, subjectId: string) => ({
  id,
  quantity,
  subject: { kind, id: subjectId },
  intervalMs: MIN,
})
const AIR = [
  sensor('bench/humidity', 'humidity', 'room', 'floor'),
  sensor('bench/temperature', 'temperature', 'room', 'floor'),
]
const METER = sensor('bench/power', 'power', 'machine', 'roll')
const CONTACT = sensor('bench/contact', 'powered', 'machine', 'roll')
const MAINS = sensor('ups/mains', 'powered', 'site', 'quayside')

const [MACHINE] = testSettings().machines

/** A machine with a meter whose bands the owner told; `contact` leaves it with a contact alone. */
function shop(change: { selfCleaning?: unknown; contact?: boolean; limits?: object; more?: object[] } = {}) {
  const { selfCleaning = { kind: 'everyHours', hours: 4 }, contact = false, limits = {}, more = [] } = change
  return testSettings({
    machines: [
      {
        ...MACHINE,
        selfCleaning,
        powerBandsW: { cleaning: [90, 130], printing: [150, 300], cleaningS: [240, 360] },
      },
    ],
    bottles: [],
    sensors: [...AIR, contact ? CONTACT : METER, ...more],
    limits,
  })
}

/** At 50 %RH and 22 degC, with a flicker as real air has it. */
const air = (minute: number) => ({
  'bench/humidity': 50 + ((minute * 7) % 11) / 50,
  'bench/temperature': 22 + ((minute * 5) % 7) / 50,
})
const DEFICIT_KPA = vapourPressureDeficitKpa({ humidityPct: 50.1, temperatureC: 22.06 })

function tell(
  story: Pick<Story, 'startMs' | 'minutes' | 'said'> & { settings?: Story['settings'] },
  power: (minute: number) => number | null,
  more: (minute: number) => Record<string, number> = () => ({}),
): ToldStory {
  const settings = story.settings ?? shop()
  const id = settings.sensors.find((s) => s.subject.kind === 'machine')?.id ?? ''
  return tellStory({
    settings,
    ...story,
    values: (minute) => ({ ...air(minute), [id]: power(minute), ...more(minute) }),
  })
}

type Said = NonNullable<Story['said']>[number][1]
const machineAct = (type: 'careLogged' | 'capSaid' | 'servicingSaid', change: object): Said =>
  ({ type, machineId: 'roll', ...change }) as Said

describe('power of a machine', () => {
  it('LEFT-3 a machine that went off at night and is heard again in open hours was not left off', () => {
    const silentTo = (toMin: number, m: number) => (m < 10 ? 40 : m < 20 || m >= toMin ? 0 : null)
    // Off at 21:10, silent from 21:20, heard again at 10:00; it closes at 18:00.
    const story = tell({ startMs: NIGHT, minutes: 1300 }, (m) => silentTo(780, m))
    expect(story.conditions()).toContain('powerLost')
    expect(story.conditions()).not.toContain('leftOff')
  })
  it('LEFT-1 a machine switched off before closing is left off a minute after it, and joins the alarm of its power', () => {
    const story = tell({ startMs: AFTERNOON, minutes: 180 }, (m) => (m >= 100 ? 0 : 40))
    expect(story.episodes('powerLost')).toMatchObject([{ from: 100, opened: 105 }])
    expect(story.episodes('leftOff')).toMatchObject([{ from: 100, opened: 121, closed: null }])
    expect(story.alarms).toHaveLength(1)
  })
  it('LEFT-2 the first sign of power closes it', () => {
    const story = tell({ startMs: AFTERNOON, minutes: 180 }, (m) => (m >= 100 && m < 150 ? 0 : 40))
    expect(story.episodes('leftOff')).toMatchObject([{ closed: 150 }])
  })
  it('LEFT-3 a machine that goes off in closed hours was not left off', () => {
    const story = tell({ startMs: NIGHT, minutes: 60 }, (m) => (m >= 10 ? 0 : 40))
    expect(story.conditions()).toContain('powerLost')
    expect(story.conditions()).not.toContain('leftOff')
  })
  it('FLICKER-1 three falls within an hour, and FLICKER-2 an hour without one', () => {
    const story = tell({ startMs: AFTERNOON, minutes: 110 }, (m) => (m < 24 && m % 8 === 4 ? 0 : 40))
    expect(story.episodes('powerFlickering')).toMatchObject([{ from: 4, opened: 20, closed: 80, value: 3 }])
    expect(
      tell({ startMs: AFTERNOON, minutes: 60 }, (m) => (m < 16 && m % 8 === 4 ? 0 : 40)).conditions(),
    ).toEqual([])
  })
  it('MAINS-1 and OUTAGE-2 the mains and a machine that fell with them are one alarm; the machine still off is told then', () => {
    const settings = shop({ more: [MAINS] })
    const story = tell(
      { startMs: NIGHT, minutes: 120, settings },
      (m) => (m >= 10 ? 0 : 40),
      (m) => ({
        'ups/mains': m >= 10 && m < 60 ? 0 : 1,
      }),
    )
    expect(story.episodes('mainsLost')).toMatchObject([{ subject: 'site:quayside', opened: 11, closed: 60 }])
    expect(story.alarms.filter((a) => a.condition !== 'headWillDry')).toHaveLength(1)
    expect(story.alarms[0]).toMatchObject({ condition: 'powerLost', state: 'unacknowledged' })
  })
})

describe('the cap', () => {
  it('CAP-OFF-1 power that falls while printing leaves the head off its cap: told after two minutes, at any hour', () => {
    const story = tell({ startMs: NIGHT, minutes: 60 }, (m) => (m < 20 ? 40 : m < 40 ? 200 : 0))
    expect(story.episodes('offItsCap')).toMatchObject([{ from: 40, opened: 42, closed: null, value: 0 }])
    const [alarm] = story.alarms
    expect(alarm).toMatchObject({ condition: 'offItsCap', urgency: 'now' })
  })
  it('CAP-OFF-1 power that falls while the machine waits leaves it on its cap', () => {
    expect(tell({ startMs: NIGHT, minutes: 60 }, (m) => (m < 40 ? 40 : 0)).conditions()).not.toContain(
      'offItsCap',
    )
  })
  it('CAP-3 two minutes after power is back the carriage has gone home', () => {
    const story = tell({ startMs: NIGHT, minutes: 80 }, (m) => (m < 20 ? 40 : m < 40 ? 200 : m < 60 ? 0 : 40))
    expect(story.episodes('offItsCap')).toMatchObject([{ opened: 42, closed: 62 }])
  })
  it('CAP-OFF-2 a person who says so is believed at once, and CAP-2 also that it is capped again', () => {
    const said = [
      [10, machineAct('capSaid', { capped: false })],
      [30, machineAct('capSaid', { capped: true })],
    ] as const
    const story = tell({ startMs: NIGHT, minutes: 60, said }, () => 40)
    expect(story.episodes('offItsCap')).toMatchObject([{ from: 10, opened: 10, closed: 30, value: 1 }])
  })
  it('CAP-4 who works on the machine is not asked for twenty minutes; then the question comes', () => {
    const said = [[10, machineAct('servicingSaid', { servicing: true })]] as const
    const story = tell({ startMs: AFTERNOON, minutes: 60, said }, () => 40)
    expect(story.episodes('offItsCap')).toMatchObject([{ from: 10, opened: 30, closed: null }])
    const done = [...said, [25, machineAct('servicingSaid', { servicing: false })]] as const
    expect(tell({ startMs: AFTERNOON, minutes: 60, said: done }, () => 40).conditions()).toEqual([])
  })
})

describe('drying', () => {
  const limits = { doseKpaH: { colour: 4, white: 2 } }

  it('DRYING-1 the dose passes its limit when deficit times hours say so, white first', () => {
    const settings = shop({ selfCleaning: { kind: 'no' }, limits })
    const story = tell({ startMs: NIGHT, minutes: 5 * HOUR, settings }, () => 40)
    const white = (2 / DEFICIT_KPA) * 60
    const [first, second] = story.episodes('headDrying')
    expect(first).toMatchObject({ subject: 'channelGroup:roll-white', value: 100 })
    expect(Math.abs((first?.opened ?? 0) - white)).toBeLessThan(3)
    expect(second?.subject).toBe('channelGroup:roll-colour')
    expect(Math.abs((second?.opened ?? 0) - 2 * white)).toBeLessThan(4)
  })
  it('off its cap the dose grows fifty times as fast: about an hour and a half to the limit of colour', () => {
    const settings = shop({ selfCleaning: { kind: 'no' } })
    const story = tell({ startMs: NIGHT, minutes: 3 * HOUR, settings }, (m) =>
      m < 20 ? 40 : m < 40 ? 200 : 0,
    )
    const colour = story.episodes('headDrying').find((e) => e.subject === 'channelGroup:roll-colour')
    // 100 kPa h over 50 x 1.32 kPa is 1.5 h: starting values, no source.
    expect(Math.abs((colour?.opened ?? 0) - 40 - (100 / (50 * DEFICIT_KPA)) * 60)).toBeLessThan(4)
  })
  it('WET-1 a cleaning that is seen makes the ink fresh again', () => {
    const settings = shop({ selfCleaning: { kind: 'no' }, limits })
    const power = (m: number) => (m >= 80 && m < 85 ? 110 : 40)
    const story = tell({ startMs: NIGHT, minutes: 4 * HOUR, settings }, power)
    expect(story.episodes('headDrying')[0]?.opened).toBeGreaterThan(84 + (2 / DEFICIT_KPA) * 60 - 4)
  })
  it('WET-1 a partial cleaning that is logged leaves half, and only of what it used', () => {
    const settings = shop({ selfCleaning: { kind: 'no' }, limits })
    const care = { care: 'partlyCleaned', channelGroupIds: ['roll-white'] } as const
    const said = [[60, machineAct('careLogged', care)]] as const
    const story = tell({ startMs: NIGHT, minutes: 4 * HOUR, settings, said }, () => 40)
    const white = story.episodes('headDrying').find((e) => e.subject === 'channelGroup:roll-white')
    const plain = (2 / DEFICIT_KPA) * 60
    expect(Math.abs((white?.opened ?? 0) - (plain + 30))).toBeLessThan(4)
  })
  it.each([
    ['HEAD-1 a new head has fresh ink when that is said as it is done', 0, 60],
    ['HEAD-1 said later it changes no dose', 45 * MIN, 0],
  ])('%s', (_name, earlierMs, laterMin) => {
    const settings = shop({ selfCleaning: { kind: 'no' }, limits })
    const changedMs = NIGHT + 60 * MIN - earlierMs
    const head = { changeId: 'h', machineId: 'roll', headId: 'roll-head', changedMs, note: '' }
    const said = [[60, { type: 'headChanged', ...head } as Said]] as const
    const story = tell({ startMs: NIGHT, minutes: 5 * HOUR, settings, said }, () => 40)
    const white = story.episodes('headDrying').find((e) => e.subject === 'channelGroup:roll-white')
    const plain = (2 / DEFICIT_KPA) * 60
    expect(Math.abs((white?.opened ?? 0) - (plain + laterMin))).toBeLessThan(4)
  })
  it('a normal capped weekend at 50 %RH and 22 degC raises nothing for colour', () => {
    const settings = shop({ selfCleaning: { kind: 'no' } })
    const story = tell({ startMs: WEEKEND, minutes: 62 * HOUR, settings }, () => 40)
    const dried = [...story.episodes('headDrying'), ...story.episodes('headWillDry')]
    expect(dried.filter((e) => e.subject === 'channelGroup:roll-colour')).toEqual([])
    expect(story.alarms.filter((a) => a.urgency === 'now')).toEqual([])
  })
  it('FRESH-2 a contact-only machine whose cleaning is unknown wakes nobody for dryness', () => {
    const settings = shop({ selfCleaning: { kind: 'unknown' }, contact: true, limits })
    const story = tell({ startMs: NIGHT, minutes: 11 * HOUR, settings }, () => 1)
    expect(story.conditions()).toEqual([])
  })
  it('FRESH-3 once such a machine is off nothing can clean it, and its dose counts from there', () => {
    const settings = shop({ selfCleaning: { kind: 'unknown' }, contact: true, limits })
    const story = tell({ startMs: NIGHT, minutes: 6 * HOUR, settings }, (m) => (m < 60 ? 1 : 0))
    const white = story.episodes('headDrying')[0]
    expect(Math.abs((white?.opened ?? 0) - 60 - (2 / DEFICIT_KPA) * 60)).toBeLessThan(4)
  })
  it('IDLE-1 white ink that was not moved for a day, and IDLE-2 the stir that mends it', () => {
    const said = [
      [10, machineAct('careLogged', { care: 'printed', channelGroupIds: [] })],
      [1500, machineAct('careLogged', { care: 'whiteStirred', channelGroupIds: [] })],
    ] as const
    const story = tell({ startMs: NIGHT, minutes: 1600, said }, () => 40)
    expect(story.episodes('idleTooLong')).toMatchObject([
      { subject: 'channelGroup:roll-white', from: 10, opened: 1450, closed: 1500, value: 24 },
    ])
  })
  const printed = [[10, machineAct('careLogged', { care: 'printed', channelGroupIds: [] })]] as const
  const silentFor = (fromMin: number, toMin: number) => (m: number) => (m >= fromMin && m < toMin ? null : 40)
  it('IDLE-4 a meter that is silent when it would be due says nothing until it is heard again', () => {
    // Silent at night, when nobody prints: the day is over at 1450, and known to be at 1460.
    const story = tell({ startMs: NIGHT, minutes: 1600, said: printed }, silentFor(1400, 1460))
    expect(story.episodes('idleTooLong')).toMatchObject([{ from: 10, opened: 1460, value: 24 }])
  })
  it('IDLE-4 after a silence in open hours it counts anew, after one in closed hours or a short one it does not', () => {
    const openedAfter = (fromMin: number, toMin: number) =>
      tell({ startMs: NIGHT, minutes: 2600, said: printed }, silentFor(fromMin, toMin)).episodes(
        'idleTooLong',
      )[0]?.opened
    expect(openedAfter(900, 1020)).toBe(1020 + 1440)
    expect(openedAfter(120, 300)).toBe(1450)
    expect(openedAfter(900, 910)).toBe(1450)
  })
})

describe('self-cleaning', () => {
  const cleaningEvery4h = (m: number) => (m % 240 < 5 ? 110 : 40)
  const logged = [240, 480, 720, 960, 1200].map(
    (m) => [m + 10, machineAct('careLogged', { care: 'cleaned', channelGroupIds: [] })] as const,
  )

  it('CLEAN-1 a machine that stops cleaning itself is found after one and a half of its intervals', () => {
    const story = tell({ startMs: NIGHT, minutes: 1700, said: logged }, (m) =>
      m < 1210 ? cleaningEvery4h(m) : 40,
    )
    const [episode] = story.episodes('notCleaning')
    expect(Math.abs((episode?.opened ?? 0) - (1205 + 360))).toBeLessThan(6)
    expect(episode?.value).toBe(6)
  })
  it('CLEAN-2 with four recognised cleanings nothing is said', () => {
    const said = logged.slice(0, 4)
    const story = tell({ startMs: NIGHT, minutes: 1700, said }, (m) => (m < 1210 ? cleaningEvery4h(m) : 40))
    expect(story.episodes('notCleaning')).toEqual([])
  })
  it('CLEAN-3 it closes when the machine cleans again', () => {
    const power = (m: number) => (m < 1210 ? cleaningEvery4h(m) : m >= 1600 && m < 1605 ? 110 : 40)
    const story = tell({ startMs: NIGHT, minutes: 1700, said: logged }, power)
    expect(story.episodes('notCleaning')[0]?.closed).toBeLessThan(1612)
  })
})

describe('planned quiet', () => {
  const statesOf = ({ effects }: ReturnType<typeof tell>): string[] =>
    effects.flatMap((e, i) => {
      const before = effects.slice(0, i).findLast((b) => b.type === 'alarmChanged')
      if (e.type !== 'alarmChanged') return []
      return before?.type === 'alarmChanged' && before.alarm.state === e.alarm.state ? [] : [e.alarm.state]
    })
  const plan = (change: object) => ({
    type: 'quietPlanned' as const,
    quietId: 'q1',
    machineId: 'roll',
    fromMs: NIGHT,
    note: '',
    kind: 'powerWork' as const,
    toMs: NIGHT + 60 * MIN,
    ...change,
  })

  it('QUIET-1 known power work is on record and told to nobody, until it is over and the machine still off', () => {
    const over = tell({ startMs: NIGHT, minutes: 60, said: [[1, plan({})]] }, (m) =>
      m >= 10 && m < 40 ? 0 : 40,
    )
    expect(over.episodes('powerLost')).toHaveLength(1)
    expect(over.alarms).toMatchObject([{ condition: 'powerLost', state: 'normal', activations: 1 }])
    expect(statesOf(over)).toEqual(['suppressedByDesign', 'normal'])
    expect(over.tasks).toEqual([])
    const still = tell({ startMs: NIGHT, minutes: 90, said: [[1, plan({})]] }, (m) => (m >= 10 ? 0 : 40))
    expect(still.alarms).toMatchObject([{ condition: 'powerLost', quiet: null }])
    expect(statesOf(still)).toEqual(['suppressedByDesign', 'unacknowledged'])
    expect(still.tasks).toHaveLength(1)
  })
  it('QUIET-3 power work does not cover a head off its cap', () => {
    const story = tell({ startMs: NIGHT, minutes: 60, said: [[1, plan({})]] }, (m) =>
      m < 20 ? 40 : m < 40 ? 200 : 0,
    )
    expect(story.alarms[0]).toMatchObject({ condition: 'offItsCap', urgency: 'now', state: 'unacknowledged' })
    const quiet = story.alarms.filter((a) => a.condition === 'powerLost')
    expect(quiet).toMatchObject([{ state: 'suppressedByDesign', quiet: { untilMs: NIGHT + 60 * MIN } }])
  })
  it('QUIET-4 quiet for one machine covers no mains, and QUIET-2 an alarm that stood before stands on', () => {
    const settings = shop({ more: [MAINS] })
    const mains = (m: number) => ({ 'ups/mains': m >= 10 ? 0 : 1 })
    const outage = tell({ startMs: NIGHT, minutes: 60, settings, said: [[1, plan({})]] }, () => 40, mains)
    expect(outage.alarms.map((a) => a.condition)).toContain('mainsLost')
    const before = tell({ startMs: NIGHT, minutes: 60, said: [[20, plan({})]] }, (m) => (m >= 10 ? 0 : 40))
    expect(before.alarms).toMatchObject([{ condition: 'powerLost', state: 'unacknowledged' }])
  })
  it('SHOP-7 what waited by day is told anew at closing, when nobody is there any more', () => {
    // 17:30; the machine goes off at 17:40, and closing is at 18:00.
    const startMs = AFTERNOON + 90 * MIN
    const story = tell({ startMs, minutes: 60 }, (m) => (m < 10 ? 40 : 0))
    const said = story.effects.flatMap((e) => (e.type === 'alarmChanged' ? [e.alarm.urgency] : []))
    expect(said[0]).toBe('today')
    expect(said.at(-1)).toBe('beforeOpening')
  })
  it('SHOP-8 the mains out for a quarter of an hour at night cannot wait, in one alarm; a short outage can', () => {
    const settings = shop({ more: [MAINS] })
    const outage = (minutes: number) =>
      tell(
        { startMs: NIGHT, minutes: 60, settings },
        (m) => (m >= 10 && m < 10 + minutes ? 0 : 40),
        (m) => ({ 'ups/mains': m >= 10 && m < 10 + minutes ? 0 : 1 }),
      )
    const urgent = ({ effects }: ReturnType<typeof tell>) =>
      effects.flatMap((e) => (e.type === 'alarmChanged' && e.alarm.urgency === 'now' ? [e] : []))
    expect(urgent(outage(13))).toEqual([])
    const [first, ...more] = urgent(outage(40))
    expect(first).toMatchObject({
      alarm: { condition: 'mainsLost', priority: 'high', state: 'unacknowledged' },
    })
    expect(((first?.atMs ?? 0) - NIGHT) / MIN).toBeCloseTo(25, 0)
    expect(first?.alarm.timeToAct).toMatch(/^Now: it has lasted 15 min or more/)
    expect(new Set(more.map((e) => e.alarm.id)).size).toBeLessThanOrEqual(1)
  })
  it('QUIET-3 a machine out of service covers its drying, and ending it tells what is still wrong', () => {
    const settings = shop({ selfCleaning: { kind: 'no' }, limits: { doseKpaH: { colour: 400, white: 2 } } })
    const out = plan({ kind: 'outOfService', toMs: null })
    const said = [
      [0, out],
      [200, { type: 'quietEnded' as const, quietId: 'q1' }],
    ] as const
    const startMs = NIGHT + MIN
    const quiet = tell({ startMs, minutes: 190, settings, said: [[0, out]] }, () => 40)
    expect(quiet.alarms).toMatchObject([{ condition: 'headDrying', state: 'outOfService' }])
    expect(quiet.tasks).toEqual([])
    const ended = tell({ startMs, minutes: 210, settings, said }, () => 40)
    expect(ended.alarms).toMatchObject([{ condition: 'headDrying', state: 'unacknowledged' }])
    expect(ended.tasks).toHaveLength(1)
  })
})

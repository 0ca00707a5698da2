import { describe, expect, it } from 'vitest'
import { boardView, type BoardMaterial } from '../../../../../services/core/advise/board.ts'
import { latestKey } from '../../../../../services/core/advise/room-view.ts'
import { machineStrip, type SensorPast } from '../../../../../services/core/advise/strip.ts'
import { alarmReason } from '../../../../../services/core/alarms/alarm-reason.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import type { NightlyFacts } from '../../../../../services/core/forecast/with-night.ts'
import { judgementOf } from '../../../../../services/core/kernel/judgements.ts'
import { planOf } from '../../../../../services/core/kernel/plan.ts'
import type { Order, Reading } from '../../../../../services/core/model/input.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { boardViewSchema } from '../../../../../services/core/model/views.ts'
import type { BottleFacts } from '../../../../../services/core/track/bottle-facts.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { episodeOf } from '../alarms/every-condition.ts'

const MIN = 60_000
const NIGHT = Date.parse('2026-11-25T21:10:00Z')
const settings = testSettings()
const [machine] = settings.machines
const [bottle] = settings.bottles
if (!machine || !bottle) throw new Error('the test shop has a machine and a bottle')

function past(quantity: string, values: readonly (readonly [number, number])[], bucketMs = MIN): SensorPast {
  const points = values.map(([minutesAgo, value]) => ({
    atMs: NIGHT - minutesAgo * MIN,
    mean: value,
    last: value,
  }))
  const newest = points.at(-1)
  return {
    quantity,
    points,
    bucketMs,
    validForMs: 3 * MIN,
    newest: newest ? { atMs: newest.atMs, value: newest.last } : null,
  }
}

function alarmOf(
  condition: Alarm['condition'],
  subject: Alarm['subject'],
  change: Partial<Alarm> = {},
): Alarm {
  const episode = {
    id: 'e',
    condition,
    subject,
    judgedUnder: `${subject.kind}:${subject.id}`,
    fromMs: NIGHT - 20 * MIN,
    openedMs: NIGHT - 10 * MIN,
    toMs: null,
    closedMs: null,
    value: 36,
    worst: 36,
    shopClosed: true,
  }
  return {
    id: `alarm-${condition}`,
    rootKey: condition,
    condition,
    subject,
    episodeIds: ['e'],
    leadEpisodeId: 'e',
    state: 'unacknowledged',
    ...alarmReason(episode, { settings, nowMs: NIGHT }),
    openedMs: NIGHT - 10 * MIN,
    returnedMs: null,
    activations: 1,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
    ...change,
  }
}

/** What the kernel knows of the machine and the bottle after an hour in which all was well, told through their trackers. */
function known(change: { power?: readonly number[] } = {}): Pick<BoardMaterial, 'machines' | 'bottles'> {
  const plan = planOf(settings, new Map())
  const factsOf = <Facts>(key: string, readings: readonly Omit<Reading, 'atMs'>[][]) => {
    const context = plan.contexts.get(key)
    if (!context) throw new Error(`the test shop has ${key}`)
    const { tracker } = judgementOf(context.subject.kind)
    const facts = tracker.initial()
    tracker.onOrder(facts, settingsOrder(NIGHT - 61 * MIN), context)
    readings.forEach((at, i) =>
      at.forEach((r) =>
        tracker.onReading(facts, { ...r, atMs: NIGHT - (readings.length - 1 - i) * MIN }, context),
      ),
    )
    return { facts: facts as Facts, context }
  }
  const power = change.power ?? Array.from({ length: 60 }, () => 1)
  const machineReadings = power.map((value) => [
    { sensorId: 'bench/humidity', quantity: 'humidity' as const, value: 44 },
    { sensorId: 'bench/powered', quantity: 'powered' as const, value },
    { sensorId: 'bench/temperature', quantity: 'temperature' as const, value: 21 },
  ])
  const bottleReadings = power.map(() => [
    { sensorId: 'bench/bottle', quantity: 'mass' as const, value: 1.2 },
  ])
  return {
    machines: new Map([['roll', factsOf<NightlyFacts>('machine:roll', machineReadings)]]),
    bottles: new Map([['roll-waste', factsOf<BottleFacts>('bottle:roll-waste', bottleReadings)]]),
  }
}

function settingsOrder(atMs: number): Order {
  const act = { actorId: 'owner', via: 'screen' as const, atMs }
  return { type: 'settings', seq: 1, atMs, receivedMs: atMs, act, settings }
}

function material(change: Partial<BoardMaterial> = {}): BoardMaterial {
  const strip = machineStrip({
    bottle,
    nowMs: NIGHT,
    humidity: past(
      'humidity',
      [
        [10, 45],
        [5, 44.04],
        [1, 44],
      ],
      5 * MIN,
    ),
    power: past('powered', [
      [4, 1],
      [3, 1],
      [2, 0],
      [1, 1],
      [0, 1],
    ]),
    mass: past('mass', [[1, 1.2]], 10 * MIN),
  })
  return {
    nowMs: NIGHT,
    settings,
    calendar: openingCalendar(settings),
    alarms: [],
    openTasks: [],
    latest: new Map([
      [latestKey('room:floor', 'temperature'), 21],
      [latestKey('room:floor', 'humidity'), 40],
    ]),
    strips: new Map([['roll', strip]]),
    ...known(),
    closingDoneMs: null,
    episodes: new Map(),
    quiets: [],
    floodSinceMs: null,
    waiting: [],
    sensors: { reporting: 4, assigned: 4, unassigned: 0 },
    quarantined: 0,
    lastReadingMs: NIGHT,
    readingsWaiting: null,
    ownTroubles: [],
    plaintextBeyondLoopback: false,
    ...change,
  }
}

describe('the board', () => {
  it('is what its schema says', () => {
    expect(boardViewSchema.parse(boardView(material()))).toEqual(boardView(material()))
  })
  it('a well machine is calm, in words and numbers', () => {
    const view = boardView(material()).machines[0]
    expect(view).toMatchObject({
      standing: 'well',
      sentence: 'All is well.',
      evidence: 'Air at 44 %RH, power on, bottle at 50 %.',
      action: null,
      alarm: null,
    })
    expect(boardView(material()).statement).toBe('Closed until 08:30. Nothing needs you.')
  })
  it('a head off its cap stands before dry air, and the sentence is its title', () => {
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
    const cap = alarmOf('offItsCap', { kind: 'machine', id: 'roll' }, { urgency: 'now' })
    const view = boardView(material({ alarms: [dry, cap] }))
    expect(view.machines[0]).toMatchObject({
      standing: 'actNow',
      sentence: `${cap.title}.`,
      otherAlarms: 1,
    })
    expect(view.statement).toContain('1 machine needs you now.')
  })
  it('says that somebody is on it once somebody is', () => {
    const act = { actorId: 'ana', via: 'phone' as const, atMs: NIGHT - 5 * MIN }
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' }, { state: 'acknowledged', acknowledged: act })
    const view = boardView(material({ alarms: [dry] }))
    expect(view.machines[0]?.evidence).toBe('Somebody is on it since 22:05.')
    // The task is signed off, the trouble stands right below: then not even the headline says that all is well.
    expect(view.statement).toBe('Closed until 08:30. Nothing new asks for you; 1 machine is not well yet.')
  })
  it('says so too of a room or a bottle that belongs to no machine, until it is over or set aside', () => {
    const act = { actorId: 'ana', via: 'phone' as const, atMs: NIGHT - 5 * MIN }
    const taken = { state: 'acknowledged', acknowledged: act } as const
    const store = alarmOf('airDry', { kind: 'room', id: 'store' }, taken)
    const spare = alarmOf('bottleFull', { kind: 'bottle', id: 'spare' }, taken)
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' }, taken)
    const said = (...alarms: Alarm[]): string => boardView(material({ alarms })).statement.slice(20)
    expect(said(store)).toBe('Nothing new asks for you; 1 trouble elsewhere is not over yet.')
    expect(said(store, spare, dry)).toBe(
      'Nothing new asks for you; 1 machine is not well yet, 2 troubles elsewhere are not over yet.',
    )
    const over = { ...store, state: 'returnedUnacknowledged', returnedMs: NIGHT - MIN } as const
    expect(said(over)).toBe('Nothing needs you.')
    expect(said({ ...spare, state: 'outOfService' })).toBe('Nothing needs you.')
  })
  it('STAND-4 what is over leaves the machine well, and says in a calm word what there was', () => {
    const back = { state: 'returnedUnacknowledged', returnedMs: NIGHT - 2 * MIN, urgency: 'now' } as const
    const lost = alarmOf('powerLost', { kind: 'machine', id: 'roll' }, back)
    const [view] = boardView(material({ alarms: [lost] })).machines
    expect(view).toMatchObject({ standing: 'well', sentence: 'All is well.', otherAlarms: 0 })
    expect(view?.evidence).toContain(`Over since 22:08: ${lost.title}.`)
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
    expect(boardView(material({ alarms: [lost, dry] })).machines[0]).toMatchObject({
      standing: 'beforeOpening',
      sentence: `${dry.title}.`,
      otherAlarms: 0,
    })
  })
  it('STAND-5 what is set aside calls for nobody, and is not well', () => {
    const act = { actorId: 'ana', via: 'screen' as const, atMs: NIGHT - 5 * MIN }
    const shelved = {
      act,
      untilMs: NIGHT + 60 * MIN,
      reason: 'a part is on its way',
      condition: 'powerLost',
    } as const
    const subject = { kind: 'machine', id: 'roll' } as const
    const aside = alarmOf('powerLost', subject, { state: 'shelved', shelved, urgency: 'now' })
    const view = boardView(material({ alarms: [aside] }))
    expect(view.machines[0]).toMatchObject({ standing: 'setAside', sentence: `${aside.title}.` })
    expect(view.machines[0]?.evidence).toBe('Shelved until 23:10: a part is on its way.')
    expect(view.statement).toContain('Nothing needs you.')
    const quiet = { quietId: 'q', untilMs: null, note: 'waits for a part' }
    const away = alarmOf('powerLost', subject, { state: 'outOfService', quiet })
    const [machine] = boardView(material({ alarms: [away] })).machines
    expect(machine).toMatchObject({ standing: 'setAside', evidence: 'Out of service: waits for a part.' })
    const silent = alarmOf(
      'sensorSilent',
      { kind: 'sensor', id: 'bench/powered' },
      { state: 'shelved', shelved },
    )
    expect(boardView(material({ alarms: [silent] })).machines[0]?.standing).toBe('unknown')
  })
  describe('what comes next in the day', () => {
    const CLOSING = 'Go through the closing list, under Closing.'
    const MORNING = 'Read what the night did, under Morning.'
    const HOUR = 60 * MIN
    /** A Tuesday, 17:30 in the shop, half an hour before it closes. */
    const nowMs = Date.UTC(2026, 1, 3, 16, 30)
    const steps = (change: Partial<BoardMaterial>) => boardView(material({ nowMs, ...change })).nextSteps
    it('NEXT-1 in the last hour before the night the closing list, until somebody has gone through it', () => {
      expect(steps({})).toContain(CLOSING)
      expect(steps({ closingDoneMs: nowMs - 24 * HOUR })).toContain(CLOSING)
      expect(steps({ closingDoneMs: nowMs - 5 * MIN })).not.toContain(CLOSING)
      expect(steps({ nowMs: nowMs - HOUR })).not.toContain(CLOSING)
      expect(steps({ nowMs: nowMs + HOUR })).not.toContain(CLOSING)
    })
    it('NEXT-2 while the shop is open, what of the night is over and was not seen', () => {
      const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
      const over = { ...dry, state: 'returnedUnacknowledged' as const, openedMs: nowMs - 14 * HOUR }
      expect(steps({ alarms: [over] })).toContain(MORNING)
      expect(steps({ alarms: [{ ...over, state: 'acknowledged' }] })).not.toContain(MORNING)
      expect(steps({ alarms: [{ ...over, openedMs: nowMs - HOUR }] })).not.toContain(MORNING)
      expect(steps({ alarms: [over], nowMs: nowMs + HOUR })).not.toContain(MORNING)
    })
  })
  it('a flood is said in a sentence', () => {
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
    const flooded = boardView(material({ alarms: [dry], floodSinceMs: NIGHT - 4 * MIN }))
    expect(flooded.statement).toContain('Many alarms at once since 22:06: begin with the first below')
  })
  it('STAND-3 a silent sensor makes a machine unknown, never well', () => {
    const silent = alarmOf('sensorSilent', { kind: 'sensor', id: 'bench/powered' })
    expect(boardView(material({ alarms: [silent] })).machines[0]?.standing).toBe('unknown')
    expect(boardView(material({ strips: new Map() })).machines[0]?.standing).toBe('unknown')
  })
  it('a machine without sensors says so', () => {
    const bare = testSettings({ sensors: [] })
    const view = boardView(material({ settings: bare, strips: new Map() })).machines[0]
    expect(view).toMatchObject({ standing: 'unknown', sentence: 'Not watched yet.' })
  })
  it('an empty shop is told what to do next', () => {
    const empty = testSettings({
      rooms: [],
      machines: [],
      bottles: [],
      sensors: [],
      hours: { weekly: [], holidays: [] },
    })
    const view = boardView(
      material({
        settings: empty,
        calendar: openingCalendar(empty),
        strips: new Map(),
        sensors: { reporting: 0, assigned: 0, unassigned: 0 },
      }),
    )
    expect(view.nextSteps.length).toBe(5)
    expect(view.statement).toContain('No opening hours set')
  })
  it('gives dew point and vapour pressure deficit of a room', () => {
    // FAO-56 Table 2.3 regenerated: es(21 degC) = 2.487 kPa; at 40 %RH the deficit is 1.49 kPa. Dew point 6.9 degC (psychrolib).
    const [room] = boardView(material()).rooms
    expect(room?.vpdKpa).toBeCloseTo(1.49, 2)
    expect(room?.dewPointC).toBeCloseTo(6.9, 1)
  })
})

describe('the coming night', () => {
  it('without past days the air is shown as it is, and says so', () => {
    const [view] = boardView(material()).machines
    expect(view?.night).toMatchObject({ basis: 'persistence', days: 0, madeMs: NIGHT })
    // 08:30 in Brussels is the next opening.
    expect(view?.night?.toMs).toBe(Date.parse('2026-11-26T07:30:00Z'))
  })
  it('inks carry their dose, their limit and what is not known of them', () => {
    const inks = boardView(material()).machines[0]?.inks
    expect(inks?.map((i) => [i.title, i.limitKpaH, i.basis])).toEqual([
      ['Colour', 100, 'unknown'],
      ['White', 60, 'unknown'],
    ])
    expect(inks?.every((i) => i.probabilityBeforeOpening === null)).toBe(true)
    // An hour at 44 %RH and 21 degC: es 2.487 kPa (FAO-56), so 1.39 kPa h.
    expect(inks?.[0]?.doseKpaH).toBeCloseTo(1.4, 1)
  })
  it('water to lift the air needs the volume of the room', () => {
    const wet = testSettings({ rooms: [{ id: 'floor', title: 'Print floor', volumeM3: 60 }] })
    expect(boardView(material()).rooms[0]?.waterToLiftKg).toBeNull()
    const [room] = boardView(material({ settings: wet })).rooms
    // ASHRAE moisture balance, 60 m3 from 40 to 45 %RH at 21 degC: 60 x 1.187 x (0.006948 - 0.006168) kg.
    expect(room?.waterToLiftKg).toBeCloseTo(0.0556, 3)
    expect(room?.waterToHoldKgPerH).toBeNull()
  })
  it('"why?" shows the rule of the episode that leads, and where its limit comes from', () => {
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
    const episode = episodeOf('airDry', { id: 'e' })
    const [view] = boardView(material({ alarms: [dry], episodes: new Map([['e', episode]]) })).machines
    expect(view?.why?.rule).toContain('40 %RH')
    expect(view?.why?.limitFrom).toContain('Starting value')
    expect(view?.why?.numbers.length).toBeGreaterThan(0)
  })
})

describe('the strip of the past', () => {
  it('a cut shows as a span of its own, and what the machine does now is its last reading', () => {
    const power = Array.from({ length: 60 }, (_, minute) => (minute >= 30 && minute < 40 ? 0 : 1))
    const { power: view } = boardView(material(known({ power }))).machines[0] ?? {}
    expect(view?.spans.map((s) => s.state)).toEqual(['on', 'off', 'on'])
    expect(view?.now).toBe('on')
    expect(view?.bandsFrom).toBeNull()
  })
  it('a gap longer than a reading stands for stays a gap', () => {
    const gapped = machineStrip({
      bottle: undefined,
      nowMs: NIGHT,
      power: undefined,
      mass: undefined,
      humidity: past('humidity', [
        [60, 45],
        [59, 45],
        [10, 44],
        [9, 44],
      ]),
    })
    expect(gapped.humidity.runs.map((r) => r.length)).toEqual([2, 2])
    expect(gapped.humidity.nowPct).toBeNull()
    expect(gapped.known).toBe(false)
  })
})

import { describe, expect, it } from 'vitest'
import { boardView, type BoardMaterial } from '../../../../../services/core/advise/board.ts'
import { latestKey } from '../../../../../services/core/advise/room-view.ts'
import { machineStrip, type SensorPast } from '../../../../../services/core/advise/strip.ts'
import { alarmReason } from '../../../../../services/core/alarms/alarm-reason.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import { boardViewSchema } from '../../../../../services/core/model/views.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

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
    state: 'unacknowledged',
    ...alarmReason(episode, { settings, nowMs: NIGHT }),
    openedMs: NIGHT - 10 * MIN,
    returnedMs: null,
    acknowledged: null,
    revision: 'none',
    ...change,
  }
}

function material(change: Partial<BoardMaterial> = {}): BoardMaterial {
  const strip = machineStrip({
    machine: machine as NonNullable<typeof machine>,
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
    sensors: { reporting: 4, assigned: 4, unassigned: 0 },
    quarantined: 0,
    lastReadingMs: NIGHT,
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
  it('a power loss at night stands before dry air, and the sentence is its title', () => {
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' })
    const power = alarmOf('powerLost', { kind: 'machine', id: 'roll' })
    const view = boardView(material({ alarms: [dry, power] }))
    expect(view.machines[0]).toMatchObject({
      standing: 'actNow',
      sentence: 'Roll 60, left bench lost power while the shop is closed.',
      otherAlarms: 1,
    })
    expect(view.statement).toContain('1 machine needs you now.')
  })
  it('says that somebody is on it once somebody is', () => {
    const act = { actorId: 'ana', via: 'phone' as const, atMs: NIGHT - 5 * MIN }
    const dry = alarmOf('airDry', { kind: 'room', id: 'floor' }, { state: 'acknowledged', acknowledged: act })
    expect(boardView(material({ alarms: [dry] })).machines[0]?.evidence).toBe(
      'Somebody is on it since 22:05.',
    )
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
    expect(view.nextSteps.length).toBe(4)
    expect(view.statement).toContain('No opening hours set')
  })
  it('gives dew point and vapour pressure deficit of a room', () => {
    // FAO-56 Table 2.3 regenerated: es(21 degC) = 2.487 kPa; at 40 %RH the deficit is 1.49 kPa. Dew point 6.9 degC (psychrolib).
    const [room] = boardView(material()).rooms
    expect(room?.vpdKpa).toBeCloseTo(1.49, 2)
    expect(room?.dewPointC).toBeCloseTo(6.9, 1)
  })
})

describe('the strip of the past', () => {
  const strip = material().strips.get('roll')
  it('a cut shows as a span of its own', () => {
    expect(strip?.power.spans.map((s) => s.state)).toEqual(['on', 'off', 'on'])
    expect(strip?.power.now).toBe('on')
  })
  it('a gap longer than a reading stands for stays a gap', () => {
    const gapped = machineStrip({
      machine,
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
  it("a meter below the machine's own mark is off", () => {
    const metered = machineStrip({
      machine,
      bottle: undefined,
      nowMs: NIGHT,
      humidity: undefined,
      mass: undefined,
      power: past('power', [
        [2, 40],
        [1, 1.2],
        [0, 1.2],
      ]),
    })
    expect(metered.power.now).toBe('off')
  })
})

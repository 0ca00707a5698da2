import { describe, expect, it } from 'vitest'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import type { Effect } from '../../../../../services/core/model/effect.ts'
import type { Task } from '../../../../../services/core/model/task.ts'
import {
  liveThrough,
  packInput,
  replayLog,
  settingsInput,
  type Arrival,
} from '../../../../parts/kernel-run.ts'
import { createMemoryBookOfRecord } from '../../../../parts/memory-book-of-record.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const NIGHT = Date.parse('2026-11-25T20:00:00Z')
const DAY = Date.parse('2026-11-25T10:00:00Z')

type Value = (minute: number) => number | null
interface Story {
  readonly startMs: number
  readonly minutes: number
  readonly humidity?: Value
  readonly powered?: Value
  readonly massKg?: Value
}

/** Lives through a story minute by minute and gives the last word on each alarm and task. */
function tell(story: Story): { alarms: Alarm[]; tasks: Task[]; effects: Effect[]; episodes: Effect[] } {
  const { startMs, minutes } = story
  const arrivals: Arrival[] = [{ receivedMs: startMs - 1, body: settingsInput(testSettings(), startMs - 1) }]
  for (let minute = 0; minute < minutes; minute++) {
    const atMs = startMs + minute * MIN
    const values = [
      {
        sensorId: 'bench/humidity',
        quantity: 'humidity' as const,
        value: (story.humidity ?? (() => 50))(minute),
      },
      { sensorId: 'bench/temperature', quantity: 'temperature' as const, value: 21 },
      {
        sensorId: 'bench/powered',
        quantity: 'powered' as const,
        value: (story.powered ?? (() => 1))(minute),
      },
      { sensorId: 'bench/bottle', quantity: 'mass' as const, value: (story.massKg ?? (() => 1))(minute) },
    ]
    const readings = values.flatMap(({ value, ...rest }) =>
      value === null ? [] : [{ ...rest, value, atMs }],
    )
    if (readings.length > 0) arrivals.push({ receivedMs: atMs + 50, body: packInput(atMs + 50, readings) })
  }
  const end = startMs + minutes * MIN
  const log = liveThrough(createMemoryBookOfRecord(), arrivals, end)
  const effects = replayLog(createMemoryBookOfRecord(), log, {
    chunkOf: () => 1,
    restartAfter: () => false,
  }).effects.flat()
  const alarms = new Map<string, Alarm>()
  const tasks = new Map<string, Task>()
  for (const e of effects) {
    if (e.type === 'alarmChanged') alarms.set(e.alarm.id, e.alarm)
    if (e.type === 'taskChanged') tasks.set(e.task.id, e.task)
  }
  const episodes = effects.filter((e) => e.type.startsWith('episode'))
  return { alarms: [...alarms.values()], tasks: [...tasks.values()], effects, episodes }
}

describe('from readings to tasks', () => {
  it('a shop in which all is well asks for nothing', () => {
    const { alarms, tasks } = tell({ startMs: NIGHT, minutes: 600 })
    expect(alarms).toEqual([])
    expect(tasks).toEqual([])
  })

  it('DRY-1 dry air for ten minutes raises one alarm with its task; both end when the air is well again', () => {
    const story = tell({ startMs: NIGHT, minutes: 120, humidity: (m) => (m >= 20 && m < 60 ? 36 : 50) })
    expect(story.alarms).toHaveLength(1)
    const [alarm] = story.alarms
    expect(alarm).toMatchObject({
      condition: 'airDry',
      state: 'returnedUnacknowledged',
      urgency: 'beforeOpening',
      openedMs: NIGHT + 30 * MIN,
      returnedMs: NIGHT + 70 * MIN,
    })
    expect(alarm?.cause).toContain('36 %RH')
    expect(alarm?.consequence).not.toBe('')
    expect(alarm?.action).not.toBe('')
    expect(alarm?.timeToAct).not.toBe('')
    expect(story.tasks).toMatchObject([{ state: 'overByItself' }])
    expect(story.tasks[0]?.steps.length).toBeGreaterThan(2)
    expect(story.tasks[0]?.cautions.length).toBeGreaterThan(0)
  })

  it('DRY-1 nine minutes of dry air raise nothing', () => {
    expect(
      tell({ startMs: NIGHT, minutes: 60, humidity: (m) => (m >= 20 && m < 30 ? 36 : 50) }).alarms,
    ).toEqual([])
  })

  it('POWER-1 a power loss in closed hours is sure after a minute, and waits for morning unless a head is in danger', () => {
    const { alarms } = tell({ startMs: NIGHT, minutes: 30, powered: (m) => (m >= 10 ? 0 : 1) })
    expect(alarms).toMatchObject([
      { condition: 'powerLost', urgency: 'beforeOpening', openedMs: NIGHT + 11 * MIN },
    ])
  })

  it('POWER-1 in opening hours it takes five minutes and can wait for a hand that is there', () => {
    const { alarms } = tell({ startMs: DAY, minutes: 30, powered: (m) => (m >= 10 ? 0 : 1) })
    expect(alarms).toMatchObject([{ condition: 'powerLost', urgency: 'today', openedMs: DAY + 15 * MIN }])
  })

  it('POWER-1 switched off two minutes before closing counts from closing on, and was left off', () => {
    const beforeClosing = Date.parse('2026-11-25T16:50:00Z')
    const { alarms } = tell({ startMs: beforeClosing, minutes: 30, powered: (m) => (m >= 8 ? 0 : 1) })
    expect(alarms).toMatchObject([
      { condition: 'leftOff', openedMs: beforeClosing + 11 * MIN, urgency: 'beforeOpening' },
    ])
  })

  it('POWER-2 the first sign of power closes it', () => {
    const { alarms } = tell({ startMs: NIGHT, minutes: 60, powered: (m) => (m >= 10 && m < 40 ? 0 : 1) })
    expect(alarms).toMatchObject([{ state: 'returnedUnacknowledged', returnedMs: NIGHT + 40 * MIN }])
  })

  it('POWER-4 a node that falls silent is no power loss', () => {
    const { alarms } = tell({
      startMs: NIGHT,
      minutes: 60,
      powered: (m) => (m < 10 ? 1 : m === 10 ? 0 : null),
    })
    expect(alarms.map((a) => a.condition)).toEqual(['powerLost', 'sensorSilent'])
  })

  it('NEAR-1 a bottle past its mark for two minutes raises a task, a hand on the scale does not', () => {
    // Tare 0.2 kg, 2000 mL at 1 kg/L: 1.9 kg on the scale are 85 %.
    const { alarms, tasks } = tell({ startMs: DAY, minutes: 60, massKg: (m) => (m >= 20 ? 1.9 : 1) })
    expect(alarms).toMatchObject([
      // The filter needs two more readings than the delay (rule BOTTLE-1).
      { condition: 'bottleNear', state: 'unacknowledged', openedMs: DAY + 24 * MIN },
    ])
    expect(alarms[0]?.cause).toContain('85 %')
    expect(tasks).toMatchObject([{ state: 'open' }])
    expect(tasks[0]?.cautions.join(' ')).toMatch(/local rules/)
    expect(tell({ startMs: DAY, minutes: 60, massKg: (m) => (m === 20 ? 2.4 : 1) }).alarms).toEqual([])
  })
})

describe('silence', () => {
  const settings = testSettings()
  const quietAfter = (minutes: number, totalMinutes: number, darkMs?: number): Arrival[] => {
    const arrivals: Arrival[] = [{ receivedMs: NIGHT - 1, body: settingsInput(settings, NIGHT - 1) }]
    for (let m = 0; m < totalMinutes; m++) {
      const atMs = NIGHT + m * MIN
      const readings = settings.sensors.map((s) => ({
        sensorId: s.id,
        quantity: s.quantity,
        atMs,
        value: s.quantity === 'humidity' ? 50 : 1,
      }))
      if (m < minutes || m >= minutes + 30)
        arrivals.push({ receivedMs: atMs, body: packInput(atMs, readings) })
    }
    if (darkMs !== undefined)
      arrivals.push({
        receivedMs: darkMs,
        body: { type: 'monitorDark', atMs: darkMs, receivedMs: darkMs, fromMs: NIGHT },
      })
    return arrivals.sort((a, b) => a.receivedMs - b.receivedMs)
  }
  const silentAlarms = (arrivals: readonly Arrival[], endMs: number): Alarm[] => {
    const log = liveThrough(createMemoryBookOfRecord(), arrivals, endMs)
    const { effects } = replayLog(createMemoryBookOfRecord(), log, {
      chunkOf: () => 1,
      restartAfter: () => false,
    })
    const alarms = new Map<string, Alarm>()
    for (const e of effects.flat())
      if (e.type === 'alarmChanged' && e.alarm.condition === 'sensorSilent') alarms.set(e.alarm.id, e.alarm)
    return [...alarms.values()]
  }

  it('SILENT-1 and SHOP-1 a node that falls silent is one alarm, whatever the number of its sensors', () => {
    const alarms = silentAlarms(quietAfter(20, 40), NIGHT + 40 * MIN)
    expect(alarms).toHaveLength(1)
    expect(alarms[0]).toMatchObject({
      title: 'Bench node has gone silent',
      state: 'unacknowledged',
      openedMs: NIGHT + 22 * MIN,
    })
    expect(alarms[0]?.episodeIds).toHaveLength(settings.sensors.length)
  })
  it('SILENT-2 it closes when the node speaks again', () => {
    expect(silentAlarms(quietAfter(20, 60), NIGHT + 60 * MIN)).toMatchObject([
      { state: 'returnedUnacknowledged', returnedMs: NIGHT + 50 * MIN },
    ])
  })
  it('SILENT-3 after the monitor was dark, silence is held for five minutes', () => {
    const alarms = silentAlarms(quietAfter(20, 40, NIGHT + 20 * MIN), NIGHT + 40 * MIN)
    expect(alarms).toMatchObject([{ openedMs: NIGHT + 25 * MIN }])
  })
  it('SILENT-4 a sensor that was assigned and never heard counts from its assignment', () => {
    const alarms = silentAlarms([{ receivedMs: NIGHT, body: settingsInput(settings, NIGHT) }], NIGHT + HOUR)
    expect(alarms).toMatchObject([{ openedMs: NIGHT + 3 * MIN }])
  })
})

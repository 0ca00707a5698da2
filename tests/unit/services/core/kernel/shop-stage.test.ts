import { describe, expect, it } from 'vitest'
import { diffEpisodes } from '../../../../../services/core/kernel/diff-episodes.ts'
import { isFlood } from '../../../../../services/core/kernel/alarm-life.ts'
import { acknowledge, signOff } from '../../../../../services/core/kernel/shop-acts.ts'
import { retellAll } from '../../../../../services/core/kernel/shop-alarms.ts'
import { applyEpisodes } from '../../../../../services/core/kernel/shop-stage.ts'
import { initialKernel, kernelFromJson, kernelToJson } from '../../../../../services/core/kernel/state.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import type { Effect } from '../../../../../services/core/model/effect.ts'
import type { Episode } from '../../../../../services/core/model/episode.ts'
import type { Task } from '../../../../../services/core/model/task.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const dry = (fromMs: number, toMs: number | null = null): Episode => ({
  id: `airDry|room:floor|${fromMs}`,
  condition: 'airDry',
  subject: { kind: 'room', id: 'floor' },
  judgedUnder: 'room:floor',
  fromMs,
  openedMs: fromMs + 10,
  toMs,
  closedMs: toMs === null ? null : toMs + 10,
  value: 36,
  worst: 35,
  shopClosed: true,
})
const silent = (sensor: string): Episode => ({
  ...dry(100),
  id: `sensorSilent|sensor:bench/${sensor}|100`,
  condition: 'sensorSilent',
  subject: { kind: 'sensor', id: `bench/${sensor}` },
  judgedUnder: `sensor:bench/${sensor}`,
})
const ACT = { actorId: 'ana', via: 'phone' as const, atMs: 500 }

function shop() {
  const state = initialKernel(testSettings())
  const alarms = new Map<string, Alarm>()
  const tasks = new Map<string, Task>()
  const emit = (e: Effect): void => {
    if (e.type === 'alarmChanged') alarms.set(e.alarm.id, e.alarm)
    if (e.type === 'taskChanged') tasks.set(e.task.id, e.task)
  }
  return {
    state,
    emit,
    episode: (...effects: Parameters<typeof applyEpisodes>[1]) => applyEpisodes(state, effects, 1000, emit),
    alarms: () => [...alarms.values()],
    tasks: () => [...tasks.values()],
  }
}

describe('the shop stage', () => {
  it('SHOP-1 episodes of one root share an alarm and a task', () => {
    const s = shop()
    s.episode(
      { type: 'episodeOpened', episode: silent('humidity') },
      { type: 'episodeOpened', episode: silent('bottle') },
    )
    expect(s.alarms()).toHaveLength(1)
    expect(s.tasks()).toHaveLength(1)
  })
  it('SHOP-2 an alarm is over only when its last episode has closed', () => {
    const s = shop()
    s.episode(
      { type: 'episodeOpened', episode: silent('humidity') },
      { type: 'episodeOpened', episode: silent('bottle') },
    )
    s.episode({ type: 'episodeClosed', episode: { ...silent('humidity'), toMs: 200, closedMs: 200 } })
    expect(s.alarms()).toMatchObject([{ state: 'unacknowledged' }])
    s.episode({ type: 'episodeClosed', episode: { ...silent('bottle'), toMs: 300, closedMs: 300 } })
    expect(s.alarms()).toMatchObject([{ state: 'returnedUnacknowledged', returnedMs: 300 }])
    expect(s.tasks()).toMatchObject([{ state: 'overByItself' }])
  })
  it('SHOP-3 a corrected episode keeps its alarm and marks it', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) })
    s.episode({ type: 'episodeCorrected', previousId: dry(100).id, episode: dry(50) })
    expect(s.alarms()).toMatchObject([
      { id: 'alarm-1', revision: 'corrected', state: 'unacknowledged', episodeIds: [dry(50).id] },
    ])
    s.episode({ type: 'episodeClosed', episode: dry(50, 400) })
    expect(s.alarms()).toMatchObject([{ state: 'returnedUnacknowledged', revision: 'corrected' }])
  })
  it('SHOP-3 a withdrawn episode withdraws its alarm and the task that nobody touched', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) })
    s.episode({ type: 'episodeWithdrawn', episodeId: dry(100).id, atMs: 700 })
    expect(s.alarms()).toMatchObject([{ state: 'normal', revision: 'withdrawn' }])
    expect(s.tasks()).toMatchObject([{ state: 'withdrawn' }])
  })
  it('SHOP-3 an alarm that was over opens again when a late reading shows that it is not', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) }, { type: 'episodeClosed', episode: dry(100, 400) })
    s.episode({ type: 'episodeCorrected', previousId: dry(100).id, episode: dry(100) })
    expect(s.alarms()).toMatchObject([{ state: 'unacknowledged', revision: 'corrected', returnedMs: null }])
    expect(s.tasks()).toMatchObject([{ id: 'task-1', state: 'open', closedMs: null }])
  })
  it('TASK-4 when the shop opens or closes, a task has as much time as its alarm', () => {
    const s = shop()
    const full: Episode = {
      ...dry(100),
      id: 'bottleFull|bottle:waste|100',
      condition: 'bottleFull',
      subject: { kind: 'bottle', id: 'waste' },
      value: 96,
    }
    s.episode({ type: 'episodeOpened', episode: dry(100) }, { type: 'episodeOpened', episode: full })
    const urgencies = (of: readonly (Alarm | Task)[]): string[] => of.map((one) => one.urgency)
    expect(urgencies(s.tasks())).toEqual(['beforeOpening', 'now'])
    for (const [nowMs, expected] of [
      [Date.UTC(2026, 1, 3, 11), ['today', 'today']],
      [Date.UTC(2026, 1, 3, 23), ['beforeOpening', 'now']],
    ] as const) {
      retellAll(s.state, { nowMs, emit: s.emit })
      expect(urgencies(s.alarms())).toEqual(expected)
      expect(urgencies(s.tasks())).toEqual(expected)
    }
  })
  it('LIFE-10 what proved never to have been is to be seen where somebody had been called', () => {
    const s = shop()
    const uncapped: Episode = {
      ...dry(100),
      id: 'offItsCap|machine:roll|100',
      condition: 'offItsCap',
      subject: { kind: 'machine', id: 'roll' },
      value: 1,
    }
    s.episode({ type: 'episodeOpened', episode: uncapped })
    s.episode({ type: 'episodeWithdrawn', episodeId: uncapped.id, atMs: 700 })
    expect(s.alarms()).toMatchObject([{ state: 'returnedUnacknowledged', revision: 'withdrawn' }])
    acknowledge(s.state, 'alarm-1', ACT, s.emit)
    expect(s.alarms()).toMatchObject([{ state: 'normal' }])
  })
  it('REALARM-1 and 3 one that comes and goes is one alarm with one task, however often', () => {
    const s = shop()
    const emitted: string[] = []
    for (let i = 0; i < 12; i++) {
      s.episode({ type: 'episodeOpened', episode: dry(100 + 20 * i) })
      s.episode({ type: 'episodeClosed', episode: dry(100 + 20 * i, 110 + 20 * i) })
      emitted.push(s.alarms()[0]?.state ?? '')
    }
    expect(s.alarms()).toHaveLength(1)
    expect(s.alarms()).toMatchObject([{ activations: 12, state: 'unacknowledged', returnedMs: null }])
    expect(emitted.filter((state) => state === 'returnedUnacknowledged')).toHaveLength(2)
    expect(s.tasks()).toMatchObject([{ id: 'task-1', state: 'open' }])
  })
  it('REALARM-1 an alarm of many episodes remembers the last of them', () => {
    const s = shop()
    for (let i = 0; i < 300; i++) {
      s.episode({ type: 'episodeOpened', episode: dry(100 + i) })
      s.episode({ type: 'episodeClosed', episode: dry(100 + i, 101 + i) })
    }
    expect(s.alarms()[0]?.episodeIds).toHaveLength(200)
    expect(s.alarms()[0]?.episodeIds.at(-1)).toBe(dry(399).id)
  })
  it('FLOOD-3 what asks for somebody is counted, and a flood shows in the state', () => {
    const s = shop()
    for (let i = 0; i < 11; i++) {
      expect(isFlood(s.state)).toBe(false)
      const subject = { kind: 'sensor' as const, id: `n${i}/humidity` }
      s.episode({
        type: 'episodeOpened',
        episode: { ...dry(100), id: `x${i}`, condition: 'sensorStuck', subject },
      })
    }
    expect(isFlood(s.state)).toBe(true)
  })
  it('SHOP-4 a task that a person signed off stays signed off, and its alarm stays until the world is well', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) })
    signOff(s.state, 'task-1', { act: ACT, note: 'filled it' }, s.emit)
    expect(s.tasks()).toMatchObject([
      { state: 'signedOff', signedOff: { actorId: 'ana', note: 'filled it' } },
    ])
    expect(s.alarms()).toMatchObject([{ state: 'acknowledged' }])
    s.episode({ type: 'episodeClosed', episode: dry(100, 900) })
    expect(s.alarms()).toMatchObject([{ state: 'normal' }])
    expect(s.tasks()).toMatchObject([{ state: 'signedOff' }])
  })
  it('acknowledging twice, or what is not there, changes nothing', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) })
    acknowledge(s.state, 'alarm-1', ACT, s.emit)
    acknowledge(s.state, 'alarm-1', { ...ACT, actorId: 'ben' }, s.emit)
    acknowledge(s.state, 'alarm-9', ACT, s.emit)
    expect(s.alarms()).toMatchObject([{ acknowledged: { actorId: 'ana' } }])
  })
  it('the state survives JSON whole', () => {
    const s = shop()
    s.episode({ type: 'episodeOpened', episode: dry(100) })
    const json = kernelToJson(s.state)
    expect(kernelToJson(kernelFromJson(json))).toBe(json)
  })
})

describe('the difference of a rebuild', () => {
  it('DIFF-1 the same again changes nothing', () => {
    expect(diffEpisodes([dry(100, 200)], [dry(100, 200)], 1)).toEqual([])
  })
  it('DIFF-2 an overlapping episode corrects the one on record', () => {
    expect(diffEpisodes([dry(100, 200)], [dry(120, 260)], 1)).toEqual([
      { type: 'episodeCorrected', previousId: dry(100).id, episode: dry(120, 260) },
    ])
  })
  it('DIFF-2 one that only ended is closed, not corrected', () => {
    expect(diffEpisodes([dry(100)], [dry(100, 200)], 1)).toEqual([
      { type: 'episodeClosed', episode: dry(100, 200) },
    ])
  })
  it('DIFF-3 one that nothing overlaps is withdrawn', () => {
    expect(diffEpisodes([dry(100, 200)], [], 77)).toEqual([
      { type: 'episodeWithdrawn', episodeId: dry(100).id, atMs: 77 },
    ])
  })
  it('DIFF-4 a new one is opened, and closed when it is over', () => {
    expect(diffEpisodes([], [dry(100, 200)], 1).map((e) => e.type)).toEqual([
      'episodeOpened',
      'episodeClosed',
    ])
  })
})

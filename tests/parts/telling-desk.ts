import { kernelFromJson, kernelToJson, initialKernel } from '../../services/core/kernel/state.ts'
import { planOf } from '../../services/core/kernel/plan.ts'
import { tellPeople } from '../../services/core/kernel/shop-telling.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { Notice } from '../../services/core/model/notice.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { alarmOf, episodeOf } from '../unit/services/core/alarms/every-condition.ts'

const MIN = 60_000
type Unstamped<T> = T extends unknown ? Omit<T, 'atMs' | 'receivedMs' | 'act'> : never

export interface ToldNotice extends Notice {
  readonly minute: number
}

/** Who is told of alarms that a test raises, acknowledges and ends by hand; time moves from one due word to the next. */
export interface TellingDesk {
  readonly notices: ToldNotice[]
  /** "2 lena reminder" of every notice about alarms. */
  readonly lines: () => string[]
  readonly raise: (id: string, change?: Partial<Alarm>, condition?: Episode['condition']) => Alarm
  readonly change: (id: string, change: Partial<Alarm>) => void
  readonly alarm: (id: string) => Alarm | undefined
  readonly say: (body: Unstamped<InputBody>) => void
  readonly changeSettings: (settings: Settings) => void
  readonly waitUntil: (minute: number) => void
  readonly state: () => ReturnType<typeof initialKernel>
  readonly restart: () => void
}

export function createTellingDesk(settings: Settings, startMs: number): TellingDesk {
  let state = initialKernel(settings)
  let nowMs = startMs
  let seq = 1
  const notices: ToldNotice[] = []
  const take = (body: InputBody, effects: readonly Effect[] = []): void => {
    if (body.type === 'deadline') state.clockMs = Math.max(state.clockMs, body.atMs)
    tellPeople(
      state,
      { ...body, seq: seq++ },
      {
        effects,
        emit: (e) => {
          if (e.type === 'noticeQueued') notices.push({ ...e.notice, minute: (e.atMs - startMs) / MIN })
        },
      },
    )
  }
  const stamp = () => ({
    atMs: nowMs,
    receivedMs: nowMs,
    act: { actorId: 'ana', via: 'phone' as const, atMs: nowMs },
  })
  const told = (alarm: Alarm): void =>
    take({ type: 'nodeStatus', atMs: nowMs, receivedMs: nowMs, nodeId: 'bench', online: true }, [
      { type: 'alarmChanged', alarm: { ...alarm }, atMs: nowMs },
    ])
  const changeSettings = (next: Settings): void => {
    state.settings = next
    state.plan = planOf(next, new Map())
    take({ type: 'settings', ...stamp(), settings: next })
  }
  changeSettings(settings)
  return {
    notices,
    lines: () => notices.filter((n) => n.alarmId !== null).map((n) => `${n.minute} ${n.contactId} ${n.kind}`),
    raise: (id, change = {}, condition = 'offItsCap') => {
      const alarm = { ...alarmOf(episodeOf(condition), settings), id, openedMs: nowMs, ...change }
      state.shop.alarms.set(id, alarm)
      told(alarm)
      return alarm
    },
    change: (id, change) => {
      const alarm = state.shop.alarms.get(id)
      if (!alarm) throw new RangeError(`there is no alarm ${id}`)
      told(Object.assign(alarm, change))
    },
    alarm: (id) => state.shop.alarms.get(id),
    say: (body) => take({ ...stamp(), ...body }),
    changeSettings,
    waitUntil: (minute) => {
      const untilMs = startMs + minute * MIN
      for (;;) {
        const dueMs = state.shop.telling.dueMs
        if (dueMs === null || dueMs > untilMs) break
        if (dueMs <= state.clockMs) throw new RangeError('a word is due that was due before')
        nowMs = Math.max(nowMs, dueMs)
        take({ type: 'deadline', atMs: nowMs, receivedMs: nowMs })
      }
      nowMs = Math.max(nowMs, untilMs)
    },
    state: () => state,
    restart: () => (state = kernelFromJson(kernelToJson(state))),
  }
}

import { alarmMeasures } from '../../services/core/alarms/measures/alarm-measures.ts'
import type { AlarmChange } from '../../services/core/model/alarm-change.ts'
import type { AlarmMeasures } from '../../services/core/model/alarm-measures.ts'
import type { Alarm } from '../../services/core/model/alarm.ts'
import { inventedAlarm, inventedAlarms, inventedPutAway } from './invented-alarms.ts'

const MIN = 60_000
const DAY = 24 * 60 * MIN

export type AlarmAnswer = Alarm & { acknowledgedBy: string | null; shelvedBy: string | null }

/** Every state that an alarm can be shown in, one or more each. */
export function inventedAlarmList(nowMs: number): AlarmAnswer[] {
  const alarms = inventedAlarms(nowMs)
  const night = { nowMs, shopClosed: true }
  const act = (minutesAgo: number) => ({
    actorId: 'person-1',
    via: 'screen' as const,
    atMs: nowMs - minutesAgo * MIN,
  })
  const show = (alarm: Alarm, more: Partial<AlarmAnswer> = {}): AlarmAnswer => ({
    ...alarm,
    acknowledgedBy: null,
    shelvedBy: null,
    ...more,
  })
  const lost = {
    condition: 'powerLost',
    subject: { kind: 'machine', id: 'right' },
    sinceMin: 100,
    value: null,
  } as const
  return [
    show(alarms.offItsCap.alarm),
    show(alarms.airDry.alarm, {
      state: 'acknowledged',
      acknowledged: act(120),
      acknowledgedBy: 'Mira',
      activations: 3,
    }),
    show(inventedAlarm(lost, night).alarm, {
      state: 'returnedUnacknowledged',
      returnedMs: nowMs - 70 * MIN,
    }),
    show(alarms.bottleNear.alarm, {
      state: 'shelved',
      shelved: {
        act: act(60),
        untilMs: nowMs + 15 * 60 * MIN,
        reason: 'The hauler comes on Friday',
        condition: 'bottleNear',
      },
      shelvedBy: 'Mira',
    }),
    show(inventedPutAway(nowMs).alarm),
  ]
}

/** Of a month in which little happened, and one evening much. */
export function inventedMeasures(nowMs: number): AlarmMeasures {
  const window = { fromMs: nowMs - 30 * DAY, toMs: nowMs }
  const night = { nowMs, shopClosed: true }
  const titles = (['airDry', 'airDamp', 'roomCold'] as const).map((condition) => {
    const subject = { kind: 'room', id: 'back-room' } as const
    return inventedAlarm({ condition, subject, sinceMin: 9, value: 36 }, night).alarm
  })
  const changes = Array.from({ length: 40 }, (_, i): AlarmChange[] => {
    const of = titles[i % 5 === 0 ? 1 : i % 7 === 0 ? 2 : 0]
    if (!of) return []
    // Twelve of them within one minute.
    const atMs = window.fromMs + (i < 28 ? i * DAY : 28 * DAY + i * 5000)
    const { id, rootKey, condition, title, urgency, priority } = of
    const told = { rootKey, condition, title, urgency, priority, arose: true, holds: true, sinceMs: atMs }
    return [{ ...told, atMs, alarmId: id, from: 'normal', state: 'unacknowledged' }]
  }).flat()
  return alarmMeasures(changes, inventedAlarmList(nowMs), window)
}

import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { AlarmMeasures } from '../../../services/core/model/alarm-measures.ts'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { AlarmView, ShopApi } from '../api/shop-api.ts'
import { groupOf, type AlarmGroup } from '../words/alarm-words.ts'

export interface AlarmsModel {
  /** null until they came for the first time. */
  readonly groups: ReadonlySignal<Readonly<Record<AlarmGroup, readonly AlarmView[]>> | null>
  readonly measures: ReadonlySignal<AlarmMeasures | null>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly acknowledge: (alarm: AlarmView) => Promise<boolean>
  readonly shelve: (alarm: AlarmView, given: { minutes: number; reason: string }) => Promise<boolean>
  readonly unshelve: (alarm: AlarmView) => Promise<boolean>
  readonly forget: () => void
}

const RANK = { now: 0, beforeOpening: 1, today: 2 } as const

export function createAlarmsModel(
  api: Pick<ShopApi, 'alarms' | 'alarmMeasures' | 'acknowledge' | 'shelve' | 'unshelve'>,
): AlarmsModel {
  const alarms = signal<readonly AlarmView[] | null>(null)
  const measures = signal<AlarmMeasures | null>(null)
  const trouble = signal('')
  const announcement = signal('')

  const load = async (): Promise<void> => {
    const [open, measured] = await Promise.all([api.alarms(), api.alarmMeasures()])
    if (open.ok) alarms.value = open.value.alarms
    if (measured.ok) measures.value = measured.value
    const failed = [open, measured].find((a) => !a.ok)
    trouble.value = failed && !failed.ok ? failureSentence(failed.failure) : ''
  }
  const act = async (asked: Promise<Answer<unknown>>, said: string): Promise<boolean> => {
    const answer = await asked
    await load()
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? said : ''
    return answer.ok
  }
  return {
    groups: computed(() => alarms.value && grouped(alarms.value)),
    measures,
    trouble,
    announcement,
    load,
    acknowledge: (alarm) => {
      const isOver = alarm.state === 'returnedUnacknowledged'
      const said = isOver ? `Noted: you saw it. ${alarm.title}.` : `You are on it: ${alarm.title}.`
      return act(api.acknowledge(alarm.id), said)
    },
    shelve: (alarm, given) => act(api.shelve(alarm.id, given), `Shelved: ${alarm.title}.`),
    unshelve: (alarm) => act(api.unshelve(alarm.id), `Taken off the shelf: ${alarm.title}.`),
    forget: () => {
      alarms.value = measures.value = null
      trouble.value = announcement.value = ''
    },
  }
}

function grouped(alarms: readonly AlarmView[]): Record<AlarmGroup, readonly AlarmView[]> {
  const sorted = [...alarms].sort((a, b) => RANK[a.urgency] - RANK[b.urgency] || a.openedMs - b.openedMs)
  const of = (group: AlarmGroup) => sorted.filter((a) => groupOf(a) === group)
  return { asking: of('asking'), over: of('over'), setAside: of('setAside') }
}

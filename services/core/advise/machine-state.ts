import { affectedMachines } from '../assess/affected-machines.ts'
import { byUrgency, standingOf } from '../assess/standing.ts'
import type { Alarm, AlarmState } from '../model/alarm.ts'
import type { Machine, Settings } from '../model/settings.ts'

/** The state of a machine as other programs may follow it over MQTT: no names, no free text but titles. */
export interface MachineState {
  readonly machine: string
  readonly title: string
  readonly standing: ReturnType<typeof standingOf>
  readonly alarms: readonly {
    condition: string
    title: string
    urgency: string
    openedMs: number
    state: AlarmState
    acknowledged: boolean
  }[]
}

/** Alarms that are not normal and touch this machine, those that stand before people first, most urgent first. */
export function alarmsOfMachine(
  machine: Machine,
  alarms: Iterable<Alarm>,
  settings: Settings,
): readonly Alarm[] {
  return [...alarms]
    .filter(
      (a) => a.state !== 'normal' && affectedMachines(a.subject, settings).some((m) => m.id === machine.id),
    )
    .sort(byUrgency)
}

export function machineState(machine: Machine, alarms: Iterable<Alarm>, settings: Settings): MachineState {
  const own = alarmsOfMachine(machine, alarms, settings)
  const watched = settings.sensors.some((s) =>
    affectedMachines(s.subject, settings).some((m) => m.id === machine.id),
  )
  return {
    machine: machine.id,
    title: machine.title,
    standing: standingOf(own, watched),
    alarms: own.map(({ condition, title, urgency, openedMs, state, acknowledged }) => ({
      condition,
      title,
      urgency,
      openedMs,
      state,
      acknowledged: acknowledged !== null,
    })),
  }
}

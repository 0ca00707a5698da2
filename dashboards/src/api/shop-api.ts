import type { Care, CHECK_REASONS, QuietKind } from '../../../services/core/model/act.ts'
import type { ClosingView } from '../../../services/core/model/closing.ts'
import type { MorningView } from '../../../services/core/model/morning.ts'
import type { AlarmMeasures } from '../../../services/core/model/alarm-measures.ts'
import type { Alarm } from '../../../services/core/model/alarm.ts'
import type { Permission, Role } from '../../../services/core/model/permissions.ts'
import type { SensorBinding, Settings } from '../../../services/core/model/settings.ts'
import type { Proof, Task } from '../../../services/core/model/task.ts'
import type { BoardView, SensorsView } from '../../../services/core/model/views.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

export interface SignedIn {
  readonly signedIn: true
  readonly person: { readonly id: string; readonly name: string; readonly role: Role }
  readonly permissions: readonly Permission[]
}
export type Session = SignedIn | { readonly signedIn: false; readonly firstOwnerNeeded: boolean }
export type TaskView = Task & {
  readonly signedOffBy: string | null
  readonly assignee: string | null
  readonly proofNow: Proof | null
}
/** The closing list, and the names of those who did something of it, by actor id. */
export type ClosingAnswer = ClosingView & { readonly names: Readonly<Record<string, string>> }
export type AlarmView = Alarm & { readonly acknowledgedBy: string | null; readonly shelvedBy: string | null }
export type CheckReason = (typeof CHECK_REASONS)[number]
export interface NozzleCheck {
  readonly machineId: string
  readonly reason: CheckReason
  readonly missing: readonly {
    readonly channelGroupId: string
    readonly missingNozzles: number
    /** Lines that were marked on our drawing. */
    readonly places?: readonly number[]
  }[]
  /** When it was made, in ms. */
  readonly checkedMs: number
}
/** From which version a change was made, and why. */
export interface ChangeNotes {
  readonly ifMatch?: string | undefined
  readonly why?: string | undefined
}
export interface NodeSecret {
  readonly id: string
  readonly secret: string
}

/** Every call that the screens make, by what it means. */
export interface ShopApi {
  readonly session: () => Promise<Answer<Session>>
  readonly signIn: (given: { name: string; password: string }) => Promise<Answer<SignedIn>>
  readonly createFirstOwner: (given: {
    code: string
    name: string
    password: string
  }) => Promise<Answer<SignedIn>>
  readonly signInByLink: (code: string) => Promise<Answer<SignedIn>>
  readonly signOut: () => Promise<Answer<unknown>>
  readonly board: () => Promise<Answer<BoardView>>
  readonly alarms: () => Promise<Answer<{ alarms: AlarmView[] }>>
  readonly alarmMeasures: () => Promise<Answer<AlarmMeasures>>
  readonly acknowledge: (alarmId: string) => Promise<Answer<unknown>>
  readonly shelve: (alarmId: string, given: { minutes: number; reason: string }) => Promise<Answer<unknown>>
  readonly unshelve: (alarmId: string) => Promise<Answer<unknown>>
  readonly logCare: (
    machineId: string,
    given: { care: Care; channelGroupIds: readonly string[] },
  ) => Promise<Answer<unknown>>
  readonly sayServicing: (machineId: string, servicing: boolean) => Promise<Answer<unknown>>
  readonly sayCap: (machineId: string, capped: boolean) => Promise<Answer<unknown>>
  readonly sayErrorStop: (machineId: string, stopped: boolean) => Promise<Answer<unknown>>
  readonly planQuiet: (quiet: {
    kind: QuietKind
    machineId: string | null
    fromMs: number
    toMs: number | null
    note: string
  }) => Promise<Answer<unknown>>
  readonly endQuiet: (quietId: string) => Promise<Answer<unknown>>
  readonly closing: () => Promise<Answer<ClosingAnswer>>
  readonly tickClosingStep: (
    stepId: string,
    given: { machineId: string | null; done: boolean },
  ) => Promise<Answer<unknown>>
  readonly finishClosing: () => Promise<Answer<unknown>>
  readonly tasks: (state: 'open' | 'closed') => Promise<Answer<{ tasks: TaskView[] }>>
  readonly signOff: (taskId: string, note: string) => Promise<Answer<unknown>>
  readonly sensors: () => Promise<Answer<SensorsView>>
  readonly assign: (binding: SensorBinding) => Promise<Answer<unknown>>
  readonly unassign: (sensorId: string) => Promise<Answer<unknown>>
  readonly addNode: (node: { id: string; title?: string }) => Promise<Answer<NodeSecret>>
  readonly replaceNodeSecret: (id: string) => Promise<Answer<NodeSecret>>
  readonly revokeNodeSecret: (id: string) => Promise<Answer<unknown>>
  readonly morning: (night?: string) => Promise<Answer<MorningView>>
  readonly seeMorning: () => Promise<Answer<unknown>>
  readonly logNozzleCheck: (check: NozzleCheck) => Promise<Answer<unknown>>
  readonly settings: () => Promise<Answer<Settings>>
  readonly putSettings: (settings: Settings, notes: ChangeNotes) => Promise<Answer<unknown>>
  readonly settingsYaml: () => Promise<Answer<string>>
}

const V1 = '/api/v1'
const part = encodeURIComponent

export function createShopApi({ ask }: Client): ShopApi {
  const get = <T>(path: string) => ask<T>({ method: 'GET', path: V1 + path })
  const post = <T>(path: string, body: unknown = {}) => ask<T>({ method: 'POST', path: V1 + path, body })
  const remove = (path: string) => ask({ method: 'DELETE', path: V1 + path })
  return {
    session: () => get('/session'),
    signIn: (given) => post('/session', given),
    createFirstOwner: (given) => post('/session/first-owner', given),
    signInByLink: (code) => post('/session/link', { code }),
    signOut: () => remove('/session'),
    board: () => get('/board'),
    alarms: () => get('/alarms'),
    alarmMeasures: () => get('/alarms/measures'),
    shelve: (alarmId, given) => post(`/alarms/${part(alarmId)}/shelving`, given),
    unshelve: (alarmId) => remove(`/alarms/${part(alarmId)}/shelving`),
    acknowledge: (alarmId) => ask({ method: 'POST', path: `${V1}/alarms/${part(alarmId)}/acknowledgement` }),
    logCare: (id, given) => post(`/machines/${part(id)}/care`, given),
    sayServicing: (id, servicing) => post(`/machines/${part(id)}/servicing`, { servicing }),
    sayCap: (id, capped) => post(`/machines/${part(id)}/cap`, { capped }),
    sayErrorStop: (id, stopped) => post(`/machines/${part(id)}/error-stop`, { stopped }),
    planQuiet: (quiet) => post('/quiet', quiet),
    endQuiet: (id) => remove(`/quiet/${part(id)}`),
    closing: () => get('/closing'),
    tickClosingStep: (id, given) => post(`/closing/steps/${part(id)}`, given),
    finishClosing: () => ask({ method: 'POST', path: `${V1}/closing/finish` }),
    morning: (night) => get(night === undefined ? '/morning' : `/morning?night=${part(night)}`),
    seeMorning: () => ask({ method: 'POST', path: `${V1}/morning/seen` }),
    logNozzleCheck: (check) => post('/nozzle-checks', check),
    tasks: (state) => get(`/tasks?state=${state}`),
    signOff: (taskId, note) => post(`/tasks/${part(taskId)}/sign-off`, note === '' ? {} : { note }),
    sensors: () => get('/sensors'),
    assign: (binding) => post('/sensors/assignment', binding),
    unassign: (sensorId) => remove(`/sensors/assignment/${part(sensorId)}`),
    addNode: (node) => post('/nodes', node),
    replaceNodeSecret: (id) => ask({ method: 'POST', path: `${V1}/nodes/${part(id)}/secret` }),
    revokeNodeSecret: (id) => remove(`/nodes/${part(id)}/secret`),
    settings: () => get('/settings'),
    putSettings: (settings, { ifMatch, why = '' }) =>
      why.trim() === ''
        ? ask({ method: 'PUT', path: `${V1}/settings`, body: settings, ifMatch })
        : ask({ method: 'POST', path: `${V1}/settings/changes`, body: { settings, why }, ifMatch }),
    settingsYaml: () => ask({ method: 'GET', path: `${V1}/settings`, yaml: true }),
  }
}

import type { Disposal, Emptied } from '../../../services/core/model/disposal.ts'
import type { Routine } from '../../../services/core/model/routine.ts'
import type { Subject } from '../../../services/core/model/subject.ts'
import type { Symptom } from '../../../services/core/model/symptom.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

export type RoutineView = Routine & {
  readonly isReadyMade: boolean
  readonly subjects: readonly { readonly subject: Subject; readonly title: string }[]
}
export interface SymptomView {
  readonly symptom: Symptom
  readonly title: string
  readonly reason: string
  readonly check: string
  readonly story: readonly string[]
}
/** One entry as it was written, and by whom. */
export type DisposalVersion = Disposal & { readonly by: string | null }
export type DisposalView = DisposalVersion & {
  /** How often it was corrected. */
  readonly corrections: number
}
/** A calendar whose secret address is good. */
export interface CalendarFeed {
  readonly id: string
  readonly title: string
  readonly createdMs: number
}
export type DisposalEntry = Omit<Disposal, 'disposalId' | 'act'>
export interface DisposalLog {
  readonly disposals: readonly DisposalView[]
  /** There are older ones than these, before this; null when these are all. */
  readonly moreBeforeMs: number | null
  readonly emptyings: readonly Emptied[]
  readonly bottles: readonly { readonly id: string; readonly title: string }[]
}
export interface Person {
  readonly id: string
  readonly name: string
}

/** Calls about work: who does it, routines, symptoms, disposals. */
export interface WorkApi {
  readonly people: () => Promise<Answer<{ people: Person[] }>>
  readonly assignTask: (taskId: string, assigneeId: string | null) => Promise<Answer<unknown>>
  readonly deferTask: (taskId: string, untilMs: number | null, reason: string) => Promise<Answer<unknown>>
  readonly routines: () => Promise<Answer<{ routines: RoutineView[] }>>
  readonly startRoutine: (routineId: string, subject: Subject) => Promise<Answer<unknown>>
  readonly symptoms: (machineId: string) => Promise<Answer<{ symptoms: SymptomView[] }>>
  readonly reportSymptom: (machineId: string, symptom: Symptom, note: string) => Promise<Answer<unknown>>
  readonly disposals: () => Promise<Answer<DisposalLog>>
  readonly logDisposal: (entry: DisposalEntry) => Promise<Answer<unknown>>
  readonly correctDisposal: (id: string, entry: DisposalEntry) => Promise<Answer<unknown>>
  /** Every version of an entry, the oldest first. */
  readonly disposalHistory: (id: string) => Promise<Answer<{ entries: DisposalVersion[] }>>
  readonly calendars: () => Promise<Answer<{ calendars: CalendarFeed[] }>>
  /** The path of the address is in this answer alone. */
  readonly addCalendar: (title: string) => Promise<Answer<{ id: string; path: string }>>
  readonly removeCalendar: (id: string) => Promise<Answer<unknown>>
}

const V1 = '/api/v1'
const part = encodeURIComponent

export function createWorkApi({ ask }: Client): WorkApi {
  const get = <T>(path: string) => ask<T>({ method: 'GET', path: V1 + path })
  const post = (path: string, body: unknown) => ask({ method: 'POST', path: V1 + path, body })
  return {
    people: () => get('/task-people'),
    assignTask: (id, assigneeId) => post(`/tasks/${part(id)}/assignment`, { assigneeId }),
    deferTask: (id, untilMs, reason) => post(`/tasks/${part(id)}/deferral`, { untilMs, reason }),
    routines: () => get('/routines'),
    startRoutine: (id, subject) => post(`/routines/${part(id)}/start`, { subject }),
    symptoms: (machineId) => get(`/symptoms/${part(machineId)}`),
    reportSymptom: (machineId, symptom, note) => post('/symptoms', { machineId, symptom, note }),
    disposals: () => get('/disposals'),
    logDisposal: (entry) => post('/disposals', entry),
    disposalHistory: (id) => get(`/disposals/${part(id)}/history`),
    calendars: () => get('/calendars'),
    addCalendar: (title) => ask({ method: 'POST', path: `${V1}/calendars`, body: { title } }),
    removeCalendar: (id) => ask({ method: 'DELETE', path: `${V1}/calendars/${part(id)}` }),
    correctDisposal: (id, body) => ask({ method: 'PUT', path: `${V1}/disposals/${part(id)}`, body }),
  }
}

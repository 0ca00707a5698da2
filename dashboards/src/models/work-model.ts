import { signal, type ReadonlySignal } from '@preact/signals'
import type { Symptom } from '../../../services/core/model/symptom.ts'
import { failureSentence, type Answer } from '../api/answer.ts'
import type {
  DisposalEntry,
  DisposalLog,
  DisposalVersion,
  Person,
  RoutineView,
  SymptomView,
  WorkApi,
} from '../api/work-api.ts'

export interface WorkModel {
  readonly people: ReadonlySignal<readonly Person[]>
  readonly routines: ReadonlySignal<readonly RoutineView[]>
  /** What can be seen at the machine that was asked for; null until it came. */
  readonly symptoms: ReadonlySignal<readonly SymptomView[] | null>
  readonly disposals: ReadonlySignal<DisposalLog | null>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  readonly loadPlans: () => Promise<void>
  readonly loadSymptoms: (machineId: string) => Promise<void>
  readonly loadDisposals: () => Promise<void>
  readonly assign: (taskId: string, assigneeId: string | null) => Promise<boolean>
  readonly defer: (taskId: string, untilMs: number | null, reason: string) => Promise<boolean>
  readonly start: (routine: RoutineView, at: number) => Promise<boolean>
  readonly report: (machineId: string, symptom: Symptom, note: string) => Promise<boolean>
  /** `id` null: a new entry; else a correction. */
  readonly log: (id: string | null, entry: DisposalEntry) => Promise<boolean>
  /** Every version of an entry, the oldest first; none when they did not come. */
  readonly disposalHistory: (id: string) => Promise<readonly DisposalVersion[]>
  /** What was last said is old: something else was done, or another page is open. */
  readonly hush: () => void
  readonly forget: () => void
}

/** Said without a line: nothing may sound as if it were taken down already. */
const KEPT_WORDS = 'Kept on this device, and not sent yet.'

/** Work beside the list of tasks. `changed` is called after something became a task, or changed one. */
export function createWorkModel(api: WorkApi, changed: () => Promise<void>): WorkModel {
  const people = signal<readonly Person[]>([])
  const routines = signal<readonly RoutineView[]>([])
  const symptoms = signal<readonly SymptomView[] | null>(null)
  const disposals = signal<DisposalLog | null>(null)
  const trouble = signal('')
  const announcement = signal('')

  const take = <T>(answer: Answer<T>, then: (value: T) => void): void => {
    if (answer.ok) then(answer.value)
    else trouble.value = failureSentence(answer.failure)
  }
  const act = async (asking: Promise<Answer<unknown>>, done: string): Promise<boolean> => {
    const answer = await asking
    const isKept = !answer.ok && answer.failure.kind === 'kept'
    trouble.value = answer.ok || isKept ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? done : isKept ? KEPT_WORDS : ''
    if (answer.ok) await changed()
    return answer.ok || isKept
  }
  const loadDisposals = async (): Promise<void> =>
    take(await api.disposals(), (log) => (disposals.value = log))
  return {
    people,
    routines,
    symptoms,
    disposals,
    trouble,
    announcement,
    loadPlans: async () => {
      const [who, what] = await Promise.all([api.people(), api.routines()])
      take(who, (a) => (people.value = a.people))
      take(what, (a) => (routines.value = a.routines))
    },
    loadSymptoms: async (machineId) => {
      symptoms.value = null
      take(await api.symptoms(machineId), (a) => (symptoms.value = a.symptoms))
    },
    loadDisposals,
    assign: (taskId, assigneeId) =>
      act(
        api.assignTask(taskId, assigneeId),
        assigneeId === null
          ? 'Whoever is there does it.'
          : `${people.peek().find((p) => p.id === assigneeId)?.name ?? 'Someone else'} does it.`,
      ),
    defer: (taskId, untilMs, reason) =>
      act(
        api.deferTask(taskId, untilMs, reason),
        untilMs === null ? 'Taken up again.' : 'Put off: it stands under "Put off" until then.',
      ),
    start: async (routine, at) => {
      const chosen = routine.subjects[at]
      return chosen
        ? act(api.startRoutine(routine.id, chosen.subject), `Now a task: ${routine.title}.`)
        : false
    },
    report: (machineId, symptom, note) =>
      act(api.reportSymptom(machineId, symptom, note.trim()), 'It is a task now.'),
    log: async (id, entry) => {
      const asking = id === null ? api.logDisposal(entry) : api.correctDisposal(id, entry)
      const ok = await act(
        asking,
        id === null ? 'Logged.' : 'Corrected; the entry before stays in its history.',
      )
      if (ok && announcement.value !== KEPT_WORDS) await loadDisposals()
      return ok
    },
    disposalHistory: async (id) => {
      const answer = await api.disposalHistory(id)
      take(answer, () => undefined)
      return answer.ok ? answer.value.entries : []
    },
    hush: () => {
      trouble.value = announcement.value = ''
    },
    forget: () => {
      people.value = routines.value = []
      symptoms.value = null
      disposals.value = null
      trouble.value = announcement.value = ''
    },
  }
}

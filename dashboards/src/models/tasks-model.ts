import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { Urgency } from '../../../services/core/model/alarm.ts'
import { failureSentence } from '../api/answer.ts'
import type { ShopApi, TaskView } from '../api/shop-api.ts'

export interface TasksModel {
  /** Most urgent first; null until they came for the first time. */
  readonly open: ReadonlySignal<readonly TaskView[] | null>
  /** Done or over, the last first. */
  readonly closed: ReadonlySignal<readonly TaskView[]>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly signOff: (task: TaskView, note: string) => Promise<boolean>
  /** What was last said is old: something else was done. */
  readonly hush: () => void
  readonly forget: () => void
}

/** As many closed tasks as a person looks back on. */
const DONE_LATELY = 12
const RANK: Readonly<Record<Urgency, number>> = { now: 0, beforeOpening: 1, today: 2 }

/** Most urgent first, then the one that waits longest. */
export function byUrgency(a: TaskView, b: TaskView): number {
  return (
    RANK[a.urgency] - RANK[b.urgency] ||
    (a.dueMs ?? a.openedMs) - (b.dueMs ?? b.openedMs) ||
    a.openedMs - b.openedMs ||
    (a.id < b.id ? -1 : 1)
  )
}

export function createTasksModel(api: Pick<ShopApi, 'tasks' | 'signOff'>): TasksModel {
  const tasks = signal<readonly TaskView[] | null>(null)
  const closed = signal<readonly TaskView[]>([])
  const trouble = signal('')
  const announcement = signal('')

  const load = async (): Promise<void> => {
    const [open, done] = await Promise.all([api.tasks('open'), api.tasks('closed')])
    const failed = [open, done].find((a) => !a.ok)
    trouble.value = failed && !failed.ok ? failureSentence(failed.failure) : ''
    if (open.ok) tasks.value = open.value.tasks
    if (done.ok) {
      const newest = [...done.value.tasks].sort((a, b) => (b.closedMs ?? 0) - (a.closedMs ?? 0))
      closed.value = newest.slice(0, DONE_LATELY)
    }
  }
  return {
    open: computed(() => tasks.value && [...tasks.value].sort(byUrgency)),
    closed,
    trouble,
    announcement,
    load,
    signOff: async (task, note) => {
      const answer = await api.signOff(task.id, note.trim())
      await load()
      const isKept = !answer.ok && answer.failure.kind === 'kept'
      trouble.value = answer.ok || isKept ? '' : failureSentence(answer.failure)
      announcement.value = answer.ok
        ? `Signed off: ${task.title}.`
        : isKept
          ? `Kept here, and not signed off yet: ${task.title}.`
          : ''
      return answer.ok || isKept
    },
    hush: () => {
      trouble.value = announcement.value = ''
    },
    forget: () => {
      tasks.value = null
      closed.value = []
      trouble.value = announcement.value = ''
    },
  }
}

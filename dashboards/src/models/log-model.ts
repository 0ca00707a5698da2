import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type {
  ImportFile,
  ImportPlan,
  LogApi,
  LogFeed,
  LogFilter,
  LogRow,
  LogSaid,
  LogVersion,
} from '../api/log-api.ts'
import { logIdOf } from '../words/log-words.ts'

export interface LogModel {
  /** null until it came for the first time. */
  readonly feed: ReadonlySignal<LogFeed | null>
  readonly filter: ReadonlySignal<LogFilter>
  readonly trouble: ReadonlySignal<string>
  /** What was last done, to be read out. */
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  /** Older ones below those that are shown. */
  readonly more: () => Promise<void>
  readonly choose: (filter: Partial<LogFilter>) => Promise<void>
  readonly add: (entry: LogSaid) => Promise<boolean>
  readonly correct: (row: LogRow, entry: LogSaid, isVoid: boolean) => Promise<boolean>
  /** Every version of an entry, the oldest first; none when they did not come. */
  readonly history: (row: LogRow) => Promise<readonly LogVersion[]>
  /** null when it did not come: `trouble` says why. */
  readonly preview: (file: ImportFile) => Promise<ImportPlan | null>
  readonly bring: (file: ImportFile) => Promise<ImportPlan | null>
  readonly hush: () => void
  readonly forget: () => void
}

/** Said without a line: nothing may sound as if it were taken down already. */
const KEPT_WORDS = 'Kept on this device, and not sent yet.'
const EVERYTHING: LogFilter = { machineId: '', kind: '' }

export function createLogModel(api: LogApi): LogModel {
  const feed = signal<LogFeed | null>(null)
  const filter = signal(EVERYTHING)
  const trouble = signal('')
  const announcement = signal('')
  let asked = 0

  const load = async (): Promise<void> => {
    const mine = ++asked
    const answer = await api.feed(filter.peek(), null)
    // An older answer must not hide what was asked for since.
    if (mine !== asked) return
    if (answer.ok) feed.value = answer.value
    else trouble.value = failureSentence(answer.failure)
  }
  const act = async (asking: Promise<Answer<unknown>>, done: string): Promise<boolean> => {
    const answer = await asking
    const isKept = !answer.ok && answer.failure.kind === 'kept'
    trouble.value = answer.ok || isKept ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? done : isKept ? KEPT_WORDS : ''
    if (answer.ok) await load()
    return answer.ok || isKept
  }
  const planned = async (asking: Promise<Answer<ImportPlan>>): Promise<ImportPlan | null> => {
    const answer = await asking
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    return answer.ok ? answer.value : null
  }
  return {
    feed,
    filter,
    trouble,
    announcement,
    load,
    more: async () => {
      const before = feed.peek()
      if (!before || before.moreBeforeMs === null) return
      const mine = ++asked
      const answer = await api.feed(filter.peek(), before.moreBeforeMs)
      if (mine !== asked) return
      if (!answer.ok) trouble.value = failureSentence(answer.failure)
      else feed.value = { ...answer.value, entries: [...before.entries, ...answer.value.entries] }
    },
    choose: async (change) => {
      filter.value = { ...filter.peek(), ...change }
      await load()
    },
    add: (entry) => act(api.add(entry), 'Logged.'),
    correct: (row, entry, isVoid) =>
      act(
        api.correct(logIdOf(row), { ...entry, isVoid }),
        isVoid
          ? 'Taken out; it stays in the history.'
          : 'Corrected; what it said before stays in its history.',
      ),
    history: async (row) => {
      const answer = await api.history(row.kind, logIdOf(row))
      if (!answer.ok) trouble.value = failureSentence(answer.failure)
      return answer.ok ? answer.value.entries : []
    },
    preview: (file) => planned(api.previewImport(file)),
    bring: async (file) => {
      const plan = await planned(api.importFile(file))
      if (plan) await load()
      return plan
    },
    hush: () => {
      trouble.value = announcement.value = ''
    },
    forget: () => {
      asked++
      feed.value = null
      filter.value = EVERYTHING
      trouble.value = announcement.value = ''
    },
  }
}

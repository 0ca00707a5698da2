import type {
  CareEntry,
  Helped,
  HeadChange,
  LogEntry,
  LogKind,
  LogNote,
  NozzleCheck,
  SaidEntry,
} from '../../../services/core/model/log-entry.ts'
import type { Disposal } from '../../../services/core/model/disposal.ts'
import type { Answer } from './answer.ts'
import type { Client } from './client.ts'

export interface Titled {
  readonly id: string
  readonly title: string
}
export interface LogMachine extends Titled {
  readonly heads: readonly (Titled & { readonly channelGroups: readonly Titled[] })[]
}
/** What can be written about. */
export interface LogPlaces {
  readonly machines: readonly LogMachine[]
  readonly rooms: readonly Titled[]
  readonly bottles: readonly Titled[]
  readonly site: Titled
}
export type LogVersion = LogEntry & { readonly by: string | null }
type Shown<E> = E & { readonly by: string | null; readonly corrections: number }
export type LogRow = Shown<LogEntry> & { readonly helped: Helped | null }
export type WasteRow = Shown<Disposal> & { readonly kind: 'disposal' }
export type FeedRow = LogRow | WasteRow
export interface LogFeed extends LogPlaces {
  readonly entries: readonly FeedRow[]
  readonly moreBeforeMs: number | null
}
/** What is said of an entry: its id, and whether it is void, stand beside. */
export type CheckSaid = Omit<NozzleCheck, 'kind' | 'checkId' | 'void' | 'act'>
export type CareSaid = Omit<CareEntry, 'kind' | 'careId' | 'void' | 'act'>
export type NoteSaid = Omit<LogNote, 'kind' | 'noteId' | 'void' | 'act'>
export type HeadSaid = Omit<HeadChange, 'kind' | 'changeId' | 'void' | 'act'>
export type LogSaid =
  | { readonly kind: 'nozzleCheck'; readonly said: CheckSaid }
  /** Without a time it was just now, and its ink counts as wetted. */
  | { readonly kind: 'care'; readonly said: Omit<CareSaid, 'doneMs'> & { readonly doneMs?: number } }
  | { readonly kind: 'note'; readonly said: NoteSaid }
  | { readonly kind: 'headChange'; readonly said: HeadSaid }

export interface BadLine {
  readonly line: number
  readonly field: string
  readonly reason: string
}
/** What an import would do, or did. */
export interface ImportPlan {
  readonly rows: number
  readonly fresh: number
  readonly known: number
  readonly conflicts: number
  readonly bad: number
  readonly conflictLines: readonly BadLine[]
  readonly badLines: readonly BadLine[]
  readonly ignored: readonly string[]
  readonly sample: readonly SaidEntry[]
}
export interface LogFilter {
  readonly machineId: string
  readonly kind: LogKind | 'disposal' | ''
}
export interface ImportFile {
  readonly kind: LogKind
  readonly text: string
}

/** Calls about the logbook. */
export interface LogApi {
  /** `beforeMs`: only what is older. */
  readonly feed: (filter: LogFilter, beforeMs: number | null) => Promise<Answer<LogFeed>>
  readonly history: (kind: LogKind, id: string) => Promise<Answer<{ entries: LogVersion[] }>>
  readonly add: (entry: LogSaid) => Promise<Answer<unknown>>
  readonly correct: (id: string, entry: LogSaid & { readonly isVoid: boolean }) => Promise<Answer<unknown>>
  readonly previewImport: (file: ImportFile) => Promise<Answer<ImportPlan>>
  readonly importFile: (file: ImportFile) => Promise<Answer<ImportPlan>>
}

/** Where the routes of each kind stand. */
export const LOG_PATHS: Readonly<Record<LogKind, string>> = {
  nozzleCheck: 'nozzle-checks',
  care: 'cleanings',
  note: 'log-notes',
  headChange: 'head-changes',
}

/** A fortnight or so of a shop of three machines; older ones come when asked for. */
const SHOWN_AT_ONCE = 60

const V1 = '/api/v1'
const part = encodeURIComponent

export function createLogApi({ ask }: Client): LogApi {
  const post = <T>(path: string, body: unknown) => ask<T>({ method: 'POST', path: V1 + path, body })
  return {
    feed: ({ machineId, kind }, beforeMs) => {
      const query = new URLSearchParams({ limit: String(SHOWN_AT_ONCE) })
      if (machineId !== '') query.set('machineId', machineId)
      if (kind !== '') query.set('kind', kind)
      if (beforeMs !== null) query.set('to', String(beforeMs))
      return ask({ method: 'GET', path: `${V1}/logbook?${query.toString()}` })
    },
    history: (kind, id) => ask({ method: 'GET', path: `${V1}/${LOG_PATHS[kind]}/${part(id)}/history` }),
    add: ({ kind, said }) => post(`/${LOG_PATHS[kind]}`, said),
    correct: (id, { kind, said, isVoid }) =>
      post(`/${LOG_PATHS[kind]}/${part(id)}/corrections`, { said, void: isVoid }),
    previewImport: (file) => post('/logbook/import/preview', file),
    importFile: (file) => post('/logbook/import', file),
  }
}

import type { Machine, Settings } from '../core/model/settings.ts'
import type { CsvRow } from './csv-reading.ts'
import { groupsOf } from './log-csv.ts'

/** What a file of entries is held against. */
export interface LogFileContext {
  readonly settings: Settings
  readonly nowMs: number
}

/** Why a line cannot be taken. */
export class RowError extends Error {
  override readonly name = 'RowError'
  readonly code = 'ROW_REFUSED'
  readonly field: string
  constructor(field: string, reason: string) {
    super(reason)
    this.field = field
  }
}

export function machineOf(row: CsvRow, { settings }: LogFileContext) {
  const machine = named(settings.machines, row.cell('machine'))
  if (machine) return machine
  const cure =
    settings.machines.length === 0 ? 'add it under Setup' : `name one of ${listed(settings.machines)}`
  throw new RowError('machine', `there is no machine ${shown(row.cell('machine'))}: ${cure}`)
}

export function groupOf(machine: Machine, name: string, field: string): string {
  const groups = groupsOf(machine)
  const group = named(groups, name)
  if (group) return group.id
  throw new RowError(
    field,
    `${machine.title} has no channel group ${shown(name)}: name one of ${listed(groups)}`,
  )
}

export function subjectOf(row: CsvRow, { settings }: LogFileContext) {
  const { site, rooms, machines, bottles } = settings
  const kind = oneOf(row, 'about', ['site', 'room', 'machine', 'bottle'] as const, 'site')
  const places: readonly Named[] = { site: [site], room: rooms, machine: machines, bottle: bottles }[kind]
  const name = row.cell('subject')
  const place = kind === 'site' && name === '' ? site : named(places, name)
  if (place) return { kind, id: place.id }
  const cure = places.length === 0 ? 'add it under Setup' : `name one of ${listed(places)}`
  throw new RowError('subject', `there is no ${kind} ${shown(name)}: ${cure}`)
}

interface Named {
  readonly id: string
  readonly title: string
}

/** By id, else by title if only one has it. */
export function named<T extends Named>(all: readonly T[], name: string): T | undefined {
  const byId = all.find((one) => one.id === name)
  if (byId) return byId
  const byTitle = all.filter((one) => one.title.toLowerCase() === name.toLowerCase())
  return byTitle.length === 1 ? byTitle[0] : undefined
}

export function listed(all: readonly Named[]): string {
  const names = all.slice(0, 8).map(({ id }) => id)
  return all.length > 8 ? `${names.join(', ')} and ${all.length - 8} more` : names.join(', ')
}

/** What a file says is quoted back short. */
export function shown(text: string): string {
  return text === '' ? 'of no name' : JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text)
}

export function countOf(row: CsvRow, field: string): number {
  const text = row.cell(field)
  if (/^\d{1,6}$/.test(text) && Number(text) <= 100_000) return Number(text)
  throw new RowError(field, `${shown(text)} is no count: write 0 to 100000, without a unit`)
}

export function oneOf<T extends string>(row: CsvRow, field: string, words: readonly T[], otherwise: T): T {
  const text = row.cell(field)
  if (text === '') return otherwise
  const word = words.find((w) => w.toLowerCase() === text.toLowerCase().replaceAll(/[\s_-]+/g, ''))
  if (word !== undefined) return word
  throw new RowError(field, `${shown(text)} is not known: write ${words.join(', ')}, or leave it empty`)
}

export function noteOf(row: CsvRow): { note: string; void: false } {
  return { note: bounded(row, 'note', 500), void: false }
}

export function bounded(row: CsvRow, field: string, most: number): string {
  const text = row.cell(field)
  if (text.length > most) throw new RowError(field, `is longer than ${most} characters: shorten it`)
  if (text.includes('\uFFFD'))
    throw new RowError(
      field,
      'has letters that are no UTF-8: save the file as CSV in UTF-8 and choose it again',
    )
  return text
}

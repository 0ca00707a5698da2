import {
  ENTRY_AHEAD_MS,
  logIdOf,
  logTimeOf,
  OLDEST_ENTRY_MS,
  type LogEntry,
  type SaidEntry,
} from '../model/log-entry.ts'
import type { Effect } from '../model/effect.ts'
import type { InputOf } from '../model/input.ts'
import type { ActOutcome } from '../model/ports/monitor.ts'
import type { Machine, Settings } from '../model/settings.ts'

type Emit = (effect: Effect) => void
type LogInput = InputOf<'nozzleCheckLogged' | 'careLogged' | 'headChanged' | 'logEntriesNoted'>

/**
 * LOG-1 what people write down is kept as an entry; the same kind and id again is a correction, and the newest counts.
 * LOG-2 an entry of an earlier release has no id: it gets one from its place in the log, and happened when it was said.
 * LOG-3 that a machine printed is no entry.
 */
export function noteInLog(input: LogInput, emit: Emit): void {
  for (const entry of entriesOf(input)) emit({ type: 'logEntryNoted', entry, atMs: input.atMs })
}

function entriesOf(input: LogInput): readonly LogEntry[] {
  const { act, seq, atMs } = input
  switch (input.type) {
    case 'nozzleCheckLogged': {
      const { machineId, reason, missing, checkId = `check-${seq}`, checkedMs = atMs, note = '' } = input
      return [{ kind: 'nozzleCheck', checkId, machineId, checkedMs, reason, missing, note, void: false, act }]
    }
    case 'careLogged': {
      const { machineId, care, channelGroupIds, careId = `care-${seq}`, helpedSaid = null, note = '' } = input
      if (care === 'printed') return []
      const said = { machineId, care, channelGroupIds, doneMs: atMs, helpedSaid, note }
      return [{ kind: 'care', careId, ...said, void: false, act }]
    }
    case 'headChanged': {
      const { machineId, headId, changedMs, note, changeId } = input
      return [{ kind: 'headChange', changeId, machineId, headId, changedMs, note, void: false, act }]
    }
    case 'logEntriesNoted':
      return input.entries.map((entry) => ({ ...entry, act }))
  }
}

/**
 * Can these be written down? The first that cannot is named with its field and a cure. What is voided may be of a machine
 * that is gone.
 */
export function judgeEntries(settings: Settings, entries: readonly SaidEntry[], nowMs: number): ActOutcome {
  for (const entry of entries) {
    const why = timeRefusal(logTimeOf(entry), nowMs) ?? (entry.void ? null : placeRefusal(settings, entry))
    if (why !== null) return { ok: false, code: 'invalid', reason: nameEntry(entries, entry, why) }
  }
  return { ok: true }
}

function nameEntry(entries: readonly SaidEntry[], entry: SaidEntry, why: string): string {
  return entries.length === 1 ? why : `entry ${logIdOf(entry)}: ${why}`
}

/** Why an entry cannot be dated so, or null. */
export function timeRefusal(atMs: number, nowMs: number): string | null {
  if (atMs > nowMs + ENTRY_AHEAD_MS) return 'time: lies in the future; say when it was'
  return atMs < nowMs - OLDEST_ENTRY_MS ? 'time: lies more than 10 years back; check the year' : null
}

/** Why what it is about cannot be, or null. */
export function placeRefusal(settings: Settings, entry: SaidEntry): string | null {
  if (entry.kind === 'note') return subjectRefusal(settings, entry.subject)
  const machine = settings.machines.find((m) => m.id === entry.machineId)
  if (!machine) return `machineId: there is no machine ${entry.machineId}; add it under Setup`
  if (entry.kind === 'headChange') return headRefusal(machine, entry.headId)
  const named =
    entry.kind === 'care' ? entry.channelGroupIds : entry.missing.map(({ channelGroupId }) => channelGroupId)
  return groupsRefusal(machine, named, entry.kind === 'care' ? 'channelGroupIds' : 'missing')
}

function headRefusal(machine: Machine, headId: string): string | null {
  return machine.heads.some((h) => h.id === headId)
    ? null
    : `headId: ${machine.title} has no head ${headId}; name one of its own`
}

function groupsRefusal(machine: Machine, ids: readonly string[], field: string): string | null {
  const own = new Set(machine.heads.flatMap((h) => h.channelGroups.map((c) => c.id)))
  const stranger = ids.find((id) => !own.has(id))
  if (stranger !== undefined)
    return `${field}: ${machine.title} has no channel group ${stranger}; name one of its own`
  const twice = ids.find((id, at) => ids.indexOf(id) !== at)
  return twice === undefined ? null : `${field}: ${twice} stands there twice; name it once`
}

function subjectRefusal(
  { site, rooms, machines, bottles }: Settings,
  { kind, id }: Extract<SaidEntry, { kind: 'note' }>['subject'],
): string | null {
  const known = { site: [site], room: rooms, machine: machines, bottle: bottles }[kind]
  return known.some((k) => k.id === id) ? null : `subject: there is no ${kind} ${id}; choose another`
}

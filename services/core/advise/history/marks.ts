import { alarmReason } from '../../alarms/alarm-reason.ts'
import { affectedMachines } from '../../assess/affected-machines.ts'
import type { HistoryCheck, HistoryEntry, HistoryView } from '../../model/history-view.ts'
import type { CareEntry, HeadChange, JudgedCare, NozzleCheck } from '../../model/log-entry.ts'
import type { Machine } from '../../model/settings.ts'
import type { Subject } from '../../model/subject.ts'
import type { HistoryMaterial } from './material.ts'

const CARE_TITLES: Readonly<Record<CareEntry['care'], string>> = {
  cleaned: 'Heads cleaned',
  partlyCleaned: 'A short cleaning',
  whiteStirred: 'White stirred',
}
const HELPED_WORDS: Readonly<Record<JudgedCare['helped'], string>> = {
  yes: ', helped',
  no: ', did not help',
  unknown: '',
}

/** Marks on lanes of their own: each has a moment and words. */
export function marksOf(
  material: HistoryMaterial,
): Pick<HistoryView, 'troubles' | 'tasks' | 'checks' | 'entries'> {
  return {
    troubles: troublesOf(material),
    tasks: tasksOf(material),
    checks: material.logged.checks.flatMap((check) => checkOf(check, material)),
    entries: entriesOf(material).sort((a, b) => a.atMs - b.atMs),
  }
}

/** The machines shown that a subject touches, or null where nothing that is shown is touched. */
function touched(subject: Subject, { settings, machines, rooms, bottles }: HistoryMaterial): string[] | null {
  const shown = new Set(machines.map((m) => m.id))
  const machineIds = affectedMachines(subject, settings)
    .map((m) => m.id)
    .filter((id) => shown.has(id))
  const isShown =
    (subject.kind === 'room' && rooms.some((r) => r.id === subject.id)) ||
    (subject.kind === 'bottle' && bottles.some((b) => b.id === subject.id))
  return machineIds.length > 0 || isShown ? machineIds : null
}

function troublesOf(material: HistoryMaterial): HistoryView['troubles'] {
  const { settings, nowMs } = material
  return material.episodes.flatMap((episode) => {
    const machineIds = touched(episode.subject, material)
    if (!machineIds) return []
    const { condition, fromMs, toMs } = episode
    const { title } = alarmReason(episode, { settings, nowMs })
    return [{ machineIds, condition, title, fromMs, toMs }]
  })
}

function tasksOf(material: HistoryMaterial): HistoryView['tasks'] {
  return material.tasks.flatMap(({ subject, title, state, closedMs }) => {
    const machineIds = touched(subject, material)
    return machineIds ? [{ machineIds, title, state, endedMs: closedMs }] : []
  })
}

function checkOf(check: NozzleCheck, { machines }: HistoryMaterial): HistoryCheck[] {
  const machine = machines.find((m) => m.id === check.machineId)
  if (!machine) return []
  const missing = check.missing
    .filter((m) => m.missingNozzles > 0)
    .map((m) => ({ title: groupTitle(machine, m.channelGroupId), missingNozzles: m.missingNozzles }))
  const missingNozzles = missing.reduce((sum, m) => sum + m.missingNozzles, 0)
  return [{ machineId: machine.id, atMs: check.checkedMs, missingNozzles, missing }]
}

/** A group that is gone from the settings is told by its id. */
function groupTitle(machine: Machine, channelGroupId: string): string {
  const groups = machine.heads.flatMap((h) => h.channelGroups)
  return groups.find((g) => g.id === channelGroupId)?.title ?? channelGroupId
}

function entriesOf({ logged, ...material }: HistoryMaterial): HistoryEntry[] {
  const ofMachine = (machineId: string, entry: Omit<HistoryEntry, 'machineIds'>): HistoryEntry[] =>
    material.machines.some((m) => m.id === machineId) ? [{ machineIds: [machineId], ...entry }] : []
  const headTitle = ({ machineId, headId }: HeadChange): string =>
    material.machines.find((m) => m.id === machineId)?.heads.find((h) => h.id === headId)?.title ?? headId
  return [
    ...logged.cares.flatMap((c) =>
      ofMachine(c.machineId, {
        kind: 'care',
        title: CARE_TITLES[c.care] + HELPED_WORDS[c.helped],
        atMs: c.doneMs,
      }),
    ),
    ...logged.headChanges.flatMap((c) =>
      ofMachine(c.machineId, { kind: 'headChange', title: `New head: ${headTitle(c)}`, atMs: c.changedMs }),
    ),
    ...logged.notes.flatMap((n) => {
      const machineIds = touched(n.subject, { ...material, logged })
      return machineIds ? [{ machineIds, kind: 'note' as const, title: n.text, atMs: n.atMs }] : []
    }),
  ]
}

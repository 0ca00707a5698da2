import { affectedMachines } from '../../assess/affected-machines.ts'
import type { Condition } from '../../model/episode.ts'
import type { Settings } from '../../model/settings.ts'
import { subjectKey, type Subject } from '../../model/subject.ts'

/**
 * Work that alarms, routines and symptoms have in common by the hand it takes: asked for twice, it is one task.
 * What stands in no list is a work of its own, named by its condition or its routine.
 */
const WORK_OF_CONDITION: Partial<Record<Condition, string>> = {
  bottleNear: 'emptyBottle',
  bottleFull: 'emptyBottle',
  bottleWillFill: 'emptyBottle',
  headDrying: 'wetNozzles',
  headWillDry: 'wetNozzles',
  idleTooLong: 'moveWhite',
  airDry: 'moistenAir',
  airVeryDry: 'moistenAir',
}
const WORK_OF_ROUTINE: Readonly<Record<string, string>> = {
  'waste-bottle': 'emptyBottle',
  'missing-nozzles': 'wetNozzles',
  'move-white': 'moveWhite',
}

export function workOfCondition(condition: Condition): string {
  return WORK_OF_CONDITION[condition] ?? condition
}

export function workOfRoutine(routineId: string): string {
  return WORK_OF_ROUTINE[routineId] ?? `routine ${routineId}`
}

/** Work on an ink or a head is work on its machine. */
export function workKeyOf(work: string, subject: Subject, settings: Settings): string {
  const isPart = subject.kind === 'head' || subject.kind === 'channelGroup'
  const machine = isPart ? affectedMachines(subject, settings)[0] : undefined
  return `${work}|${machine ? subjectKey({ kind: 'machine', id: machine.id }) : subjectKey(subject)}`
}

/** The work that a key of `workKeyOf` names. */
export function workOfKey(workKey: string): string {
  return workKey.split('|')[0] ?? ''
}

import { affectedMachines } from '../assess/affected-machines.ts'
import type { NotReady } from '../model/closing.ts'
import type { Condition } from '../model/episode.ts'
import type { ClosingMaterial } from './closing-material.ts'
import { isMachineSetAside, type StepOfMachine } from './closing-steps.ts'

/** What may do damage before morning, and what would leave the night unseen. */
const ENDANGERS: readonly Condition[] = [
  'airDry',
  'airVeryDry',
  'roomCold',
  'headDrying',
  'headWillDry',
  'offItsCap',
  'notCleaning',
  'stoppedOnError',
  'powerLost',
  'leftOff',
  'powerFlickering',
  'mainsLost',
  'bottleFull',
  'bottleWillFill',
  'bottleMissing',
  'bottleLosingWeight',
  'wasteNotArriving',
  'sensorSilent',
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
  'clockAhead',
]

/**
 * "Ready for the night", or what is not.
 *
 * CLOSE-3 every required step must be confirmed by a sensor or ticked by a person.
 * CLOSE-4 what a sensor refutes no tap makes ready.
 * CLOSE-5 no open condition may endanger the night, nor blind a sensor that should watch over it: unknown is never ready.
 * CLOSE-6 a machine that is out of service asks for nothing.
 * CLOSE-7 it is judged by what is known now: what was ready is so no longer when the world says otherwise.
 * CLOSE-8 a shop without machines, or without steps, has nothing to be ready with.
 */
export function notReadyOf(steps: readonly StepOfMachine[], material: ClosingMaterial): InTheWay {
  const required = steps.filter(({ step }) => step.required)
  if (material.settings.machines.length === 0 || required.length === 0)
    return { steps: [], troubles: [NOTHING_TO_GO_BY] }
  return { steps: [...stillOpen(required), ...required.flatMap(notSettled)], troubles: dangers(material) }
}

/** What stands between the shop and its night: steps of the list, and troubles that no step is about. */
export interface InTheWay {
  readonly steps: readonly NotReady[]
  readonly troubles: readonly NotReady[]
}

const NOTHING_TO_GO_BY: NotReady = {
  what: 'There is nothing to go by: no machine, or no step that must be done.',
  action: 'Add machines and closing steps, under Setup.',
}

/** What nobody has done yet stands in the list already, so here it is counted, a line for each machine. */
function stillOpen(steps: readonly StepOfMachine[]): NotReady[] {
  const open = new Map<string, number>()
  for (const { title, step } of steps) {
    if (step.state === 'open') open.set(title ?? 'The shop', (open.get(title ?? 'The shop') ?? 0) + 1)
  }
  return [...open].map(([title, n]) => ({
    what: `${title}: ${count(n, 'step is', 'steps are')} still to do.`,
    action: 'Do each, then tap it.',
  }))
}

/** What a sensor speaks against, or cannot tell, is named with the reason. */
function notSettled({ title, step, action }: StepOfMachine): NotReady[] {
  const of = title === null ? '' : `${title}: `
  switch (step.state) {
    case 'refuted':
      return [{ what: `${of}${step.text}. ${step.evidence}`, action }]
    case 'unknown':
      return [{ what: `${of}${step.text}. ${step.evidence}`, action: 'Look at it yourself, then tap it.' }]
    case 'open':
    case 'confirmed':
    case 'ticked':
      return []
  }
}

function dangers(material: ClosingMaterial): NotReady[] {
  const { episodes, settings } = material
  const told = new Map<string, NotReady>()
  for (const { episode, alarm } of episodes) {
    if (!ENDANGERS.includes(episode.condition)) continue
    const suffering = affectedMachines(episode.subject, settings)
    if (suffering.length > 0 && suffering.every((m) => isMachineSetAside(m.id, material))) continue
    told.set(alarm?.id ?? episode.id, {
      what: alarm ? `${alarm.title}.` : 'A trouble was just found, and is being judged.',
      action: alarm?.action ?? 'Wait a minute, then look again.',
    })
  }
  return [...told.values()]
}

/** The verdict in one sentence. */
export function verdictSentence({ left, troubles }: { left: number; troubles: number }): string {
  const parts = [
    ...(left > 0 ? [`${count(left, 'step is', 'steps are')} left`] : []),
    ...(troubles > 0 ? [count(troubles, 'trouble stands', 'troubles stand')] : []),
  ]
  return parts.length === 0 ? 'Ready for the night.' : `Not ready: ${parts.join(', and ')}.`
}

function count(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`
}

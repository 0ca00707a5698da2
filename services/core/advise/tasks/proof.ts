import { titleOf } from '../../alarms/subject-title.ts'
import { affectedMachines } from '../../assess/affected-machines.ts'
import { clockText } from '../../model/clock-text.ts'
import type { Settings } from '../../model/settings.ts'
import type { Proof, Task } from '../../model/task.ts'
import { bottleRuleOf } from '../../track/bottle-of.ts'
import type { BottleFacts } from '../../track/bottle-facts.ts'
import type { MachineFacts } from '../../track/machine.ts'
import { isRecognised } from '../../track/recognition.ts'
import { meanOfValid } from '../../track/latest.ts'
import type { AirFacts } from '../../track/room.ts'
import type { SubjectContext } from '../../track/tracker.ts'
import { workOfKey } from './works.ts'

/** What is known of the subjects of the shop. */
export interface KnownFacts {
  readonly settings: Settings
  readonly machine: (id: string) => MachineFacts | undefined
  readonly bottle: (
    id: string,
  ) => { readonly facts: BottleFacts; readonly context: SubjectContext } | undefined
  readonly room: (id: string) => { readonly facts: AirFacts; readonly context: SubjectContext } | undefined
}

type Told = Omit<Proof, 'atMs'>
interface Asked {
  readonly task: Pick<Task, 'subject' | 'openedMs'>
  readonly known: KnownFacts
  readonly nowMs: number
  readonly at: (atMs: number) => string
}

/**
 * What sensors say of whether the work of a task was done.
 *
 * PROOF-1 emptied: the scale saw 80 % of the contents leave since the task was opened (BOTTLE-5).
 * PROOF-2 powered: the meter or the contact says that the machine is on.
 * PROOF-3 cleaned: a cleaning or a print was seen since. That none was is held against it only where cleanings are
 *         recognised, as five that people logged were.
 * PROOF-4 capped: the head is on its cap, as said or as its power tells.
 * PROOF-5 humidity: the room is above the value at which its alarm closes.
 * PROOF-6 what no sensor measures is neither proven nor contradicted: `notSeen`. Work that no sensor of ours could ever
 *         tell, such as a wiped roller, has no proof at all: null.
 */
export function proofOf(
  task: Pick<Task, 'workKey' | 'subject' | 'openedMs'>,
  known: KnownFacts,
  nowMs: number,
): Proof | null {
  const prove = PROOFS[workOfKey(task.workKey)]
  if (!prove) return null
  const { timeZone } = known.settings.site
  const told = prove({ task, known, nowMs, at: (atMs) => clockText(atMs, { timeZone, nowMs }) })
  return { ...told, atMs: nowMs }
}

const PROOFS: Readonly<Record<string, (asked: Asked) => Told>> = {
  emptyBottle: emptied,
  powerLost: powered,
  leftOff: powered,
  powerFlickering: powered,
  mainsLost: powered,
  wetNozzles: cleaned,
  notCleaning: cleaned,
  offItsCap: capped,
  moistenAir: moistened,
}

function emptied({ task, known, at }: Asked): Told {
  const bottle = known.bottle(task.subject.id)
  if (!bottle || bottle.facts.heardMs === null || bottle.facts.standing === 'unknown')
    return notSeen('No scale speaks for this bottle now.')
  const { facts } = bottle
  const seen = facts.lastEmptying
  if (seen && seen.toMs >= task.openedMs)
    return proven(`The scale saw ${grams(seen.removedG)} leave at ${at(seen.toMs)}.`)
  if (facts.standing === 'lifted') return notSeen('The bottle is off its scale.')
  const near = bottleRuleOf(bottle.context)?.bottle
  if (facts.massKg === null || !near) return notSeen('The scale is not at rest yet.')
  const contentsG = (facts.massKg - near.tareKg) * 1000
  if (contentsG < ALMOST_NOTHING_G) return notSeen('The scale saw no emptying, and there is little in it.')
  return contradicted(`The weight has not fallen: ${grams(contentsG)} are still in it.`)
}

/** With less in it a bottle cannot be told from an empty one that was not rinsed. Starting value. */
const ALMOST_NOTHING_G = 50

function powered(asked: Asked): Told {
  const machines = affectedMachines(asked.task.subject, asked.known.settings)
  const off: string[] = []
  let unknown = machines.length === 0
  for (const { id, title } of machines) {
    const state = asked.known.machine(id)?.power.state ?? 'unknown'
    if (state === 'off') off.push(title)
    if (state === 'unknown') unknown = true
  }
  if (off.length > 0) return contradicted(`Without power, as measured: ${off.join(', ')}.`)
  if (unknown) return notSeen('No meter or contact tells whether there is power.')
  return proven('There is power, as measured.')
}

function cleaned({ task, known, at }: Asked): Told {
  const machine = affectedMachines(task.subject, known.settings)[0]
  const facts = machine && known.machine(machine.id)
  if (!facts) return notSeen('No meter tells whether it was cleaned.')
  const cleaning = facts.cleanings.findLast((c) => c.basis === 'seen' && c.atMs >= task.openedMs)
  if (cleaning) return proven(`The meter saw a cleaning end at ${at(cleaning.atMs)}.`)
  const { printedToMs } = facts.power
  if (printedToMs !== null && printedToMs >= task.openedMs)
    return proven(`The meter saw a print end at ${at(printedToMs)}.`)
  if (facts.cleaningsVisible && isRecognised(facts.recognition))
    return contradicted('The meter saw no cleaning and no print since.')
  return notSeen('The meter cannot tell for certain whether it was cleaned.')
}

function capped({ task, known }: Asked): Told {
  const machine = affectedMachines(task.subject, known.settings)[0]
  const cap = machine && known.machine(machine.id)?.cap
  // Before anything was seen it is taken as capped, which is no proof.
  if (!cap || cap.sinceMs === null) return notSeen('Nothing tells where the head is.')
  if (cap.state === 'capped')
    return proven(
      cap.by === 'person'
        ? 'Somebody said that the head is on its cap.'
        : 'Its power tells that the head is home.',
    )
  if (cap.state === 'uncapped')
    return contradicted(`It was said that the head of ${machine.title} is off its cap.`)
  return notSeen('The head is probably still off its cap. When it is on, say so on the board.')
}

function moistened({ task, known, nowMs }: Asked): Told {
  const { limits } = known.settings
  const room = known.room(task.subject.id)
  const pct = room ? meanOfValid(room.facts.humidity, nowMs, room.context) : null
  if (pct === null) return notSeen('No sensor tells the humidity of this room now.')
  const text = `${titleOf(task.subject, known.settings)} is at ${Math.round(pct)} %RH.`
  if (pct >= limits.airDryPct.closeAbove) return proven(text)
  return pct < limits.airDryPct.openBelow ? contradicted(text) : notSeen(text)
}

const grams = (g: number): string => (g < 1000 ? `${Math.round(g)} g` : `${(g / 1000).toFixed(2)} kg`)
const proven = (text: string): Told => ({ text, verdict: 'proven' })
const contradicted = (text: string): Told => ({ text, verdict: 'contradicted' })
const notSeen = (text: string): Told => ({ text, verdict: 'notSeen' })

import { bottleAheadOf, filledBeforeMs } from '../forecast/bottle-will-fill.ts'
import { probabilityFullBefore } from '../forecast/bottle-ahead.ts'
import { clockText } from '../model/clock-text.ts'
import type { Confirmer } from '../model/closing.ts'
import type { Condition } from '../model/episode.ts'
import type { Quantity } from '../model/quantity.ts'
import type { Machine, Room } from '../model/settings.ts'
import { meanOfValid } from '../track/latest.ts'
import type { ClosingMaterial } from './closing-material.ts'
import { dayStartMs } from './closing-day.ts'
import { ELECTRICIAN } from './tasks/cautions.ts'

/** What sensors say of a step. `unknown` says why; it is never taken for a yes. */
export type Evidence =
  | { readonly is: 'yes'; readonly words: string }
  | { readonly is: 'no'; readonly words: string; readonly action: string }
  | { readonly is: 'unknown'; readonly words: string }

const yes = (words: string): Evidence => ({ is: 'yes', words })
const no = (words: string, action: string): Evidence => ({ is: 'no', words, action })
const unknown = (words: string): Evidence => ({ is: 'unknown', words })

const DISTRUST: readonly Condition[] = ['sensorStuck', 'sensorImplausible', 'sensorOutOfStep']

/**
 * CLOSE-2 a sensor confirms a step only by what it measures now, said with number and time; what is not measured, by a
 *         silent sensor, one that is not trusted, or none, is unknown and says why.
 */
export function evidenceOf(
  confirmer: Confirmer,
  machine: Machine | null,
  material: ClosingMaterial,
): Evidence | null {
  if (confirmer === 'none') return null
  if (confirmer === 'roomInRange') return roomsInRange(machine, material)
  return machine ? MACHINE_EVIDENCE[confirmer](machine, material) : everyMachine(confirmer, material)
}

type MachineConfirmer = Exclude<Confirmer, 'none' | 'roomInRange'>
type MachineEvidence = (machine: Machine, material: ClosingMaterial) => Evidence

const MACHINE_EVIDENCE: Readonly<Record<MachineConfirmer, MachineEvidence>> = {
  headCapped,
  powerOn,
  cleaningSeen,
  bottlePresent,
  bottleCanTakeTheNight,
}

function everyMachine(confirmer: MachineConfirmer, material: ClosingMaterial): Evidence {
  return worstOf(
    material.settings.machines.map((m) => {
      const evidence = MACHINE_EVIDENCE[confirmer](m, material)
      return { ...evidence, words: `${m.title}: ${evidence.words}` }
    }),
    'no machine is set up',
  )
}

/** One no is a no, and one unknown leaves all of it unknown. */
function worstOf(all: readonly Evidence[], none: string): Evidence {
  const worst = all.find((e) => e.is === 'no') ?? all.find((e) => e.is === 'unknown')
  if (worst) return worst
  return all.length === 0 ? unknown(none) : yes(all.map((e) => e.words).join(' '))
}

function powerOn(machine: Machine, material: ClosingMaterial): Evidence {
  const power = material.machines.get(machine.id)?.facts.power
  const blind = blindWords(['powered', 'power'], { kind: 'machine', id: machine.id }, material)
  if (blind !== null || !power || power.state === 'unknown')
    return unknown(blind ?? 'Its power was not measured yet.')
  const since = power.sinceMs === null ? '' : ` since ${timeText(power.sinceMs, material)}`
  return power.state === 'off'
    ? no(`It is off${since}.`, `Find out why it is off before anything else. ${ELECTRICIAN}`)
    : yes(`On${since}, measured at ${timeText(material.nowMs, material)}.`)
}

/** No sensor sees a cap: that a head is off it can be concluded, that it is on it only a person can say. */
function headCapped(machine: Machine, material: ClosingMaterial): Evidence {
  const facts = material.machines.get(machine.id)?.facts
  if (!facts) return unknown('Nothing was measured at this machine yet, and no sensor sees the cap.')
  const { state, by, sinceMs, servicedUntilMs } = facts.cap
  if (servicedUntilMs !== null && servicedUntilMs > material.nowMs)
    return no('Somebody works on it now.', 'Send the carriage home, then say here that it is capped.')
  if (state !== 'capped')
    return no(
      state === 'uncapped' ? 'The head is off its cap.' : 'The head is probably off its cap.',
      'Send the carriage home as the manual says, then say here that it is capped.',
    )
  const said = by === 'person' && sinceMs !== null && sinceMs >= dayStartMs(material.calendar, material.nowMs)
  return said
    ? yes(`Said to be capped at ${timeText(sinceMs, material)}, and nothing since speaks against it.`)
    : unknown('No sensor sees the cap: look at it.')
}

function cleaningSeen(machine: Machine, material: ClosingMaterial): Evidence {
  const facts = material.machines.get(machine.id)?.facts
  const startMs = dayStartMs(material.calendar, material.nowMs)
  const seen = facts?.cleanings.filter((c) => c.basis === 'seen' && c.atMs >= startMs).at(-1)
  if (seen) return yes(`Seen to clean at ${timeText(seen.atMs, material)}.`)
  const blind = blindWords(['power'], { kind: 'machine', id: machine.id }, material)
  if (blind !== null) return unknown(blind)
  if (!facts?.cleaningsVisible) return unknown('Its cleanings cannot be told from its power yet.')
  return no('No cleaning was seen today.', 'Start a cleaning as the manual says.')
}

function bottleOf(machine: Machine, { settings, bottles }: ClosingMaterial) {
  const bottle = settings.bottles.find((b) => b.machines.includes(machine.id))
  return { bottle, known: bottle && bottles.get(bottle.id) }
}

function bottlePresent(machine: Machine, material: ClosingMaterial): Evidence {
  const { bottle, known } = bottleOf(machine, material)
  if (!bottle) return unknown('No bottle is set up for this machine: look at it.')
  const blind = blindWords(['mass'], { kind: 'bottle', id: bottle.id }, material)
  if (blind !== null || !known || known.facts.standing === 'unknown')
    return unknown(blind ?? 'The bottle was not weighed yet.')
  if (known.facts.standing === 'lifted')
    return no('The bottle is off its scale.', 'Put it back, with the waste tube in its neck.')
  const fill = known.facts.fillPct
  const full = fill === null ? '' : `, ${Math.round(fill)} % full`
  return yes(`On its scale${full} at ${timeText(material.nowMs, material)}.`)
}

const EMPTY_IT = 'Empty it by your local rules, put it back, and see that the tube is in its neck.'

function bottleCanTakeTheNight(machine: Machine, material: ClosingMaterial): Evidence {
  const { bottle, known } = bottleOf(machine, material)
  if (!bottle) return unknown('No bottle is set up for this machine: look whether it has room.')
  const blind = blindWords(['mass'], { kind: 'bottle', id: bottle.id }, material)
  if (blind !== null) return unknown(blind)
  if (known?.facts.standing === 'lifted') return no('The bottle is off its scale.', 'Put it back first.')
  if (!known || known.facts.standing === 'unknown' || known.facts.fillPct === null)
    return unknown('The bottle is not weighed now.')
  const { facts, context } = known
  const fill = `${Math.round(facts.fillPct ?? 0)} % full`
  if ((facts.fillPct ?? 0) >= material.settings.limits.bottleFullPct.openAbove)
    return no(`The bottle is ${fill}.`, EMPTY_IT)
  const untilMs = filledBeforeMs(material.nowMs, context)
  const ahead = bottleAheadOf(facts, context, { atMs: material.nowMs, horizonMs: untilMs - material.nowMs })
  const chance = ahead?.basis === 'weeks' ? probabilityFullBefore(ahead, untilMs) : null
  if (chance === null)
    return unknown(
      `${fill}; what a night brings is not known before two weeks of weighing: look whether it has room.`,
    )
  const odds = `${Math.round(chance * 100)} of 100 nights like this fill it before opening`
  return chance >= material.settings.limits.forecast.listProbability
    ? no(`The bottle is ${fill}, and ${odds}.`, EMPTY_IT)
    : yes(`${fill} at ${timeText(material.nowMs, material)}; ${odds}.`)
}

function roomsInRange(machine: Machine | null, material: ClosingMaterial): Evidence {
  const { settings } = material
  const used = settings.rooms.filter(
    (r) => !r.outdoors && (machine ? machine.room === r.id : settings.machines.some((m) => m.room === r.id)),
  )
  return worstOf(
    used.map((room) => roomInRange(room, material)),
    'No room with a machine is set up.',
  )
}

/** The air of a room as it is measured now; null for what is not. */
export function airNow(
  roomId: string,
  { rooms, nowMs }: Pick<ClosingMaterial, 'rooms' | 'nowMs'>,
): { humidityPct: number | null; temperatureC: number | null } {
  const known = rooms.get(roomId)
  if (!known) return { humidityPct: null, temperatureC: null }
  const { facts, context } = known
  return {
    humidityPct: meanOfValid(facts.humidity, nowMs, context),
    temperatureC: meanOfValid(facts.temperature, nowMs, context),
  }
}

function roomInRange(room: Room, material: ClosingMaterial): Evidence {
  const { airDryPct, airDampPct, roomColdC, roomWarmC } = material.settings.limits
  const { humidityPct, temperatureC } = airNow(room.id, material)
  const subject = { kind: 'room', id: room.id } as const
  const blind = blindWords(['humidity'], subject, material) ?? blindWords(['temperature'], subject, material)
  if (blind !== null || humidityPct === null || temperatureC === null)
    return unknown(`${room.title}: ${blind ?? 'its air is not measured now.'}`)
  const now = `${room.title}: ${Math.round(humidityPct)} %RH and ${temperatureC.toFixed(1)} °C at ${timeText(material.nowMs, material)}`
  if (humidityPct < airDryPct.openBelow)
    return no(`${now}, under ${airDryPct.openBelow} %RH.`, 'Fill the humidifier and let it run.')
  if (humidityPct > airDampPct.openAbove)
    return no(`${now}, over ${airDampPct.openAbove} %RH.`, 'Stop the humidifier, and dry the air.')
  if (temperatureC < roomColdC.openBelow)
    return no(
      `${now}, under ${roomColdC.openBelow} °C.`,
      'Close what is open, and let the room come to its warmth.',
    )
  if (temperatureC > roomWarmC.openAbove)
    return no(`${now}, over ${roomWarmC.openAbove} °C.`, 'Let the room cool before you leave.')
  return yes(`${now}.`)
}

/** Why no sensor can say: none is assigned, or all that are, are silent or not believed. null while one speaks. */
function blindWords(
  quantities: readonly Quantity[],
  subject: { readonly kind: string; readonly id: string },
  { settings, episodes, ...material }: ClosingMaterial,
): string | null {
  const own = settings.sensors.filter(
    (s) => quantities.includes(s.quantity) && s.subject.kind === subject.kind && s.subject.id === subject.id,
  )
  if (own.length === 0) return `No sensor measures it: look at it yourself.`
  const troubles = own.map((sensor) =>
    episodes.find(
      ({ episode: e }) =>
        e.subject.id === sensor.id && (e.condition === 'sensorSilent' || DISTRUST.includes(e.condition)),
    ),
  )
  const first = troubles[0]
  if (!first || troubles.some((t) => t === undefined)) return null
  const { episode } = first
  const word = episode.condition === 'sensorSilent' ? 'is silent' : 'is not trusted'
  return `Not known: ${episode.subject.id} ${word} since ${timeText(episode.fromMs, { settings, ...material })}.`
}

function timeText(atMs: number, { settings, nowMs }: Pick<ClosingMaterial, 'settings' | 'nowMs'>): string {
  return clockText(atMs, { timeZone: settings.site.timeZone, nowMs })
}

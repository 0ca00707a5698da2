import type { Span } from '../../services/core/model/opening-hours.ts'

/**
 * Something that goes wrong, or that a hand does, in the simulated shop.
 *
 * | kind | subject | value |
 * | --- | --- | --- |
 * | dryAir | room | %RH that a runaway air conditioner pulls the room to |
 * | dampAir | room | %RH that wet air drives the room to |
 * | airHeldAt | room: its heater fails, or runs on | degC that the room goes to |
 * | powerCut | machine: its breaker or plug | |
 * | brownout | machine: low voltage; it stays on | share of its usual power |
 * | headLeftOff | machine: a hand left its head off the cap | |
 * | cleaningOff | machine: it does not clean itself | |
 * | errorStop | machine: stopped on an error, head capped | W that it then draws |
 * | idle | machine: nobody prints | |
 * | lineBlocked | machine: its waste does not reach the bottle | |
 * | mainsFailure | site: machines and nodes dark | |
 * | nodeDark | node: sends nothing and keeps nothing | |
 * | sensorStuck | sensor: repeats what it last said | |
 * | sensorSilent | sensor: says nothing | |
 * | sensorDrifts | sensor: runs away | units a day |
 * | sensorSpikes | sensor: garbage between good readings | share of readings |
 * | sensorAtRail | sensor: stands at the end of its range | what it then says |
 * | bottleEmptied | bottle: lifted off, emptied, put back at `toMs` | |
 * | bottleReplaced | bottle: lifted off, another empty one put there at `toMs` | kg that the other weighs more |
 * | bottleLifted | bottle: lifted off, put back at `toMs` as it was | |
 * | bottleLevel | bottle: waste poured in or out by hand at `fromMs` | fill in percent |
 * | lump | bottle: something falls into it at `fromMs` | kg |
 * | leak | bottle | g an hour |
 * | onScale | bottle: a hand, a tube, a thing on its scale | kg, negative for what lifts |
 * | scaleSwing | bottle: the sun on its scale | K from coldest to warmest in a day |
 * | bottleLeft | bottle: nobody thinks of emptying it | |
 * | calm | site: no incident of chance | |
 */
export const INCIDENT_KINDS = [
  'dryAir',
  'dampAir',
  'airHeldAt',
  'powerCut',
  'brownout',
  'headLeftOff',
  'cleaningOff',
  'errorStop',
  'idle',
  'lineBlocked',
  'mainsFailure',
  'nodeDark',
  'sensorStuck',
  'sensorSilent',
  'sensorDrifts',
  'sensorSpikes',
  'sensorAtRail',
  'bottleEmptied',
  'bottleReplaced',
  'bottleLifted',
  'bottleLevel',
  'lump',
  'leak',
  'onScale',
  'scaleSwing',
  'bottleLeft',
  'calm',
] as const
export type IncidentKind = (typeof INCIDENT_KINDS)[number]

export interface Incident {
  readonly kind: IncidentKind
  readonly subjectId: string
  readonly fromMs: number
  readonly toMs: number
  readonly value?: number
}

export interface Incidents {
  /** The incident of this kind that holds for the subject at an instant; the first told wins. */
  readonly at: (kind: IncidentKind, subjectId: string, atMs: number) => Incident | undefined
  /** Nothing befalls the subject on the day of an instant: then no kind needs to be asked for. */
  readonly sparesAllDay: (subjectId: string, atMs: number) => boolean
  /** Those of this kind that begin within (fromMs, toMs], whether or not they are over by then. */
  readonly begunWithin: (kind: IncidentKind, subjectId: string, span: Span) => readonly Incident[]
  /** Makes those that hold now end at once: a hand put it right. */
  readonly end: (kind: IncidentKind, subjectId: string, atMs: number) => void
  readonly add: (incident: Incident) => void
}

const DAY = 86_400_000
const NONE: readonly Incident[] = []
/** Incidents of chance that began this long ago may still hold: a weekend with a holiday behind it. */
const LONGEST = 5 * DAY

/**
 * The told incidents, and those of chance, which are drawn a day at a time and yield to a told calm.
 * Asked in order of time; what is over is forgotten.
 */
export function createIncidents(options: {
  readonly told: readonly Incident[]
  readonly drawDay: (dayStartMs: number) => readonly Incident[]
  readonly startMs: number
}): Incidents {
  const calm = options.told.filter((i) => i.kind === 'calm')
  const clearOfCalm = (i: Incident): boolean => calm.every((c) => i.toMs <= c.fromMs || i.fromMs >= c.toMs)
  /** By kind, then by subject, those of the day and before: the shop asks some hundred times a step. */
  let near = new Map<IncidentKind, Map<string, Incident[]>>()
  let befallen = new Set<string>()
  let known: readonly Incident[] = options.told
  let drawnTo = Math.floor((options.startMs - LONGEST) / DAY) * DAY

  const index = (): void => {
    const today = known.filter((i) => i.fromMs < drawnTo)
    near = indexed(today)
    befallen = new Set(today.map((i) => i.subjectId))
  }
  const look = (atMs: number): void => {
    if (atMs < drawnTo) return
    const fromMs = drawnTo
    const drawn: Incident[] = []
    for (; drawnTo <= atMs; drawnTo += DAY) drawn.push(...options.drawDay(drawnTo).filter(clearOfCalm))
    known = [...known, ...drawn].filter((i) => i.toMs > fromMs)
    index()
  }
  const holds = (i: Incident, atMs: number): boolean => atMs >= i.fromMs && atMs < i.toMs

  return {
    at: (kind, subjectId, atMs) => {
      look(atMs)
      const list = near.get(kind)?.get(subjectId)
      if (list) for (const i of list) if (holds(i, atMs)) return i
      return undefined
    },
    begunWithin: (kind, subjectId, { fromMs, toMs }) => {
      look(toMs)
      const list = near.get(kind)?.get(subjectId)
      return list ? list.filter((i) => i.fromMs > fromMs && i.fromMs <= toMs) : NONE
    },
    sparesAllDay: (subjectId, atMs) => {
      look(atMs)
      return !befallen.has(subjectId)
    },
    end: (kind, subjectId, atMs) => {
      known = known.filter((i) => i.kind !== kind || i.subjectId !== subjectId || !holds(i, atMs))
      index()
    },
    add: (incident) => {
      known = [incident, ...known]
      index()
    },
  }
}

function indexed(incidents: readonly Incident[]): Map<IncidentKind, Map<string, Incident[]>> {
  const near = new Map<IncidentKind, Map<string, Incident[]>>()
  for (const incident of incidents) {
    const bySubject = near.get(incident.kind) ?? new Map<string, Incident[]>()
    near.set(incident.kind, bySubject)
    bySubject.set(incident.subjectId, [...(bySubject.get(incident.subjectId) ?? []), incident])
  }
  return near
}

/**
 * Something that goes wrong, or that a hand does, in the simulated shop.
 *
 * | kind | subject | value |
 * | --- | --- | --- |
 * | dryAir | room | %RH that a runaway air conditioner pulls the room to |
 * | powerCut | machine: its breaker or plug | |
 * | mainsFailure | site: machines and nodes dark | |
 * | nodeDark | node: sends nothing and keeps nothing | |
 * | sensorStuck | sensor: repeats what it last said | |
 * | bottleEmptied | bottle: lifted off, emptied, put back at `toMs` | |
 * | bottleLevel | bottle: waste poured in or out by hand at `fromMs` | fill in percent |
 * | bottleLeft | bottle: nobody thinks of emptying it | |
 * | calm | site: no incident of chance | |
 */
export const INCIDENT_KINDS = [
  'dryAir',
  'powerCut',
  'mainsFailure',
  'nodeDark',
  'sensorStuck',
  'bottleEmptied',
  'bottleLevel',
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
  /** Makes those that hold now end at once: a hand put it right. */
  readonly end: (kind: IncidentKind, subjectId: string, atMs: number) => void
  readonly add: (incident: Incident) => void
}

const DAY = 86_400_000
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
  /** By kind, then by subject: the shop asks some thirty times a step. */
  let near = indexed(options.told)
  let drawnTo = Math.floor((options.startMs - LONGEST) / DAY) * DAY

  const all = (): Incident[] => [...near.values()].flatMap((bySubject) => [...bySubject.values()].flat())
  const look = (atMs: number): void => {
    if (atMs < drawnTo) return
    const drawn: Incident[] = []
    for (; drawnTo <= atMs; drawnTo += DAY) drawn.push(...options.drawDay(drawnTo).filter(clearOfCalm))
    near = indexed([...all(), ...drawn].filter((i) => i.toMs > atMs))
  }
  const holds = (i: Incident, atMs: number): boolean => atMs >= i.fromMs && atMs < i.toMs

  return {
    at: (kind, subjectId, atMs) => {
      look(atMs)
      return near
        .get(kind)
        ?.get(subjectId)
        ?.find((i) => holds(i, atMs))
    },
    end: (kind, subjectId, atMs) => {
      near = indexed(all().filter((i) => i.kind !== kind || i.subjectId !== subjectId || !holds(i, atMs)))
    },
    add: (incident) => {
      near = indexed([incident, ...all()])
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

export const TRUE_KINDS = [
  'printing',
  'cleaning',
  'machineOff',
  'headUncapped',
  'nozzlesLost',
  'roomDry',
  'humidifierEmpty',
  'bottleAbove80',
  'bottleLifted',
  'mainsFailed',
  'nodeDark',
  'sensorStuck',
] as const
export type TrueKind = (typeof TRUE_KINDS)[number]

/** What really happened in the simulated shop, whether or not a sensor saw it. */
export interface TrueEvent {
  readonly kind: TrueKind
  readonly subjectId: string
  readonly fromMs: number
  /** Null while it still holds. */
  readonly toMs: number | null
  /** For nozzlesLost: how many a check at opening would find missing. */
  readonly value?: number
}

export interface Truth {
  /** Says whether something holds at an instant: a stretch begins and ends where the answer changes. */
  readonly note: (kind: TrueKind, subjectId: string, holds: boolean, atMs: number) => void
  readonly noteOnce: (event: TrueEvent) => void
  /** In order of their ends, those that still hold last. */
  readonly events: () => readonly TrueEvent[]
}

export function createTruth(): Truth {
  const over: TrueEvent[] = []
  const held = new Map(TRUE_KINDS.map((kind) => [kind, new Map<string, number>()]))

  return {
    note: (kind, subjectId, holds, atMs) => {
      const since = held.get(kind)
      const fromMs = since?.get(subjectId)
      if (holds === (fromMs !== undefined)) return
      if (fromMs === undefined) {
        since?.set(subjectId, atMs)
        return
      }
      since?.delete(subjectId)
      over.push({ kind, subjectId, fromMs, toMs: atMs })
    },
    noteOnce: (event) => over.push(event),
    events: () => [
      ...over,
      ...[...held].flatMap(([kind, since]) =>
        [...since].map(([subjectId, fromMs]) => ({ kind, subjectId, fromMs, toMs: null })),
      ),
    ],
  }
}

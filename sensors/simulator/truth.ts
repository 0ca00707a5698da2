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
  const held = new Map<string, { kind: TrueKind; subjectId: string; fromMs: number }>()

  return {
    note: (kind, subjectId, holds, atMs) => {
      const key = `${kind}|${subjectId}`
      const since = held.get(key)
      if (holds === (since !== undefined)) return
      if (!since) {
        held.set(key, { kind, subjectId, fromMs: atMs })
        return
      }
      held.delete(key)
      over.push({ ...since, toMs: atMs })
    },
    noteOnce: (event) => over.push(event),
    events: () => [...over, ...[...held.values()].map((since) => ({ ...since, toMs: null }))],
  }
}

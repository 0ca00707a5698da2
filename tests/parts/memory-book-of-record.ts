import type { Effect } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { Input, InputOf, Reading } from '../../services/core/model/input.ts'
import type {
  BookOfRecord,
  HeardSensorNote,
  KernelSnapshot,
  PendingMessage,
  SubjectHistory,
} from '../../services/core/model/ports/records.ts'
import type { Rejection } from '../../services/core/model/rejection.ts'
import { subjectKey } from '../../services/core/model/subject.ts'

interface Contents {
  inputs: Input[]
  snapshots: Map<string, { throughMs: number; stateJson: string }[]>
  episodes: Map<string, Episode>
  kernel: KernelSnapshot | null
  conflicts: Map<string, Reading>
  rejections: Rejection[]
  heard: HeardSensorNote[]
  messages: PendingMessage[]
  aliveMs: number | null
}

/** A book of record in memory, for tests of what stands above it. Same rules as the real one; rolls back by copy. */
export function createMemoryBookOfRecord(): BookOfRecord {
  let c: Contents = {
    inputs: [],
    snapshots: new Map(),
    episodes: new Map(),
    kernel: null,
    conflicts: new Map(),
    rejections: [],
    heard: [],
    messages: [],
    aliveMs: null,
  }
  const held = new Map<string, number>()
  const readingsOf = (input: Input): readonly Reading[] => (input.type === 'readings' ? input.readings : [])
  const history = createHistory(() => c)

  return {
    transaction: (work) => {
      const before = copyOf(c)
      try {
        return work()
      } catch (error) {
        c = before
        held.clear()
        for (const r of c.inputs.flatMap(readingsOf)) held.set(keyOf(r), r.value)
        throw error
      }
    },
    lastSeq: () => c.inputs.length,
    sortReadings: (readings) => {
      const within = new Map<string, number>()
      const fresh: Reading[] = []
      const conflicts: Reading[] = []
      let resent = 0
      for (const r of readings) {
        const known = held.get(keyOf(r)) ?? within.get(keyOf(r))
        if (known === undefined) {
          within.set(keyOf(r), r.value)
          fresh.push(r)
        } else if (known === r.value) resent++
        else conflicts.push(r)
      }
      return { fresh, resent, conflicts }
    },
    appendInput: (input) => {
      if (input.seq !== c.inputs.length + 1)
        throw new RangeError(`seq must be ${c.inputs.length + 1}, got ${input.seq}`)
      for (const r of readingsOf(input)) {
        if (held.has(keyOf(r))) throw new RangeError(`reading ${keyOf(r)} is already held`)
      }
      for (const r of readingsOf(input)) held.set(keyOf(r), r.value)
      c.inputs.push(structuredClone(input))
    },
    keepConflicts: (conflicts) => conflicts.forEach((r) => c.conflicts.set(`${keyOf(r)}|${r.value}`, r)),
    applyEffects: (_seq, effects) => effects.forEach((e) => applyEffect(c, e)),
    saveKernelSnapshot: (snapshot) => (c.kernel = snapshot),
    latestKernelSnapshot: () => c.kernel,
    inputsAfter: (afterSeq) => structuredClone(c.inputs.slice(afterSeq)),
    keepRejection: (rejection) => c.rejections.push(rejection),
    noteHeard: (heard) => c.heard.push(...heard),
    pruneSubjectSnapshots: (beforeMs) => {
      for (const [key, list] of c.snapshots)
        c.snapshots.set(
          key,
          list.filter((s) => s.throughMs >= beforeMs),
        )
    },
    pruneReadings: () => 0,
    lastAliveMs: () => c.aliveMs,
    noteAlive: (atMs) => (c.aliveMs = atMs),
    pendingMessages: (limit) => c.messages.slice(0, limit),
    markMessage: ({ id, delivered }) => {
      if (delivered) c.messages = c.messages.filter((m) => m.id !== id)
    },
    history,
    close: () => undefined,
  }
}

function createHistory(contents: () => Contents): SubjectHistory {
  return {
    snapshotBefore: ({ subjectKey: key, beforeMs }) =>
      contents()
        .snapshots.get(key)
        ?.filter((s) => s.throughMs < beforeMs)
        .sort((a, b) => b.throughMs - a.throughMs)[0] ?? null,
    settingsFrom: (fromMs) => {
      const all = contents().inputs.filter((i): i is InputOf<'settings'> => i.type === 'settings')
      const inForce = all.filter((s) => s.atMs <= fromMs).at(-1)
      return [...(inForce ? [inForce] : []), ...all.filter((s) => s.atMs > fromMs)]
    },
    readingsAfter: ({ sensorIds, afterMs }) =>
      contents()
        .inputs.flatMap((i) => (i.type === 'readings' ? i.readings : []))
        .filter((r) => r.atMs > afterMs && sensorIds.includes(r.sensorId))
        .sort((a, b) => a.atMs - b.atMs || (a.sensorId < b.sensorId ? -1 : 1)),
    episodesTouchedAfter: ({ subjectKey: key, afterMs }) =>
      [...contents().episodes.values()]
        .filter((e) => subjectKey(e.subject) === key && (e.closedMs === null || e.closedMs > afterMs))
        .sort((a, b) => a.fromMs - b.fromMs || (a.id < b.id ? -1 : 1)),
  }
}

function applyEffect(c: Contents, effect: Effect): void {
  switch (effect.type) {
    case 'episodeOpened':
    case 'episodeClosed':
      c.episodes.set(effect.episode.id, structuredClone(effect.episode))
      break
    case 'episodeCorrected':
      c.episodes.delete(effect.previousId)
      c.episodes.set(effect.episode.id, structuredClone(effect.episode))
      break
    case 'episodeWithdrawn':
      c.episodes.delete(effect.episodeId)
      break
    case 'subjectSnapshot': {
      const { subjectKey: key, throughMs, stateJson } = effect
      const others = (c.snapshots.get(key) ?? []).filter((s) => s.throughMs !== throughMs)
      c.snapshots.set(key, [...others, { throughMs, stateJson }])
      break
    }
    case 'subjectSnapshotsDropped':
      c.snapshots.set(
        effect.subjectKey,
        (c.snapshots.get(effect.subjectKey) ?? []).filter((s) => s.throughMs < effect.fromMs),
      )
      break
    case 'messageQueued':
      c.messages = c.messages.filter((m) => m.replaceKey !== effect.message.replaceKey)
      c.messages.push({
        ...effect.message,
        id: c.inputs.length * 100 + c.messages.length,
        queuedMs: effect.atMs,
        attempts: 0,
      })
      break
    case 'alarmChanged':
    case 'taskChanged':
    case 'readingsNotJudged':
      break
  }
}

function copyOf(c: Contents): Contents {
  return {
    ...c,
    inputs: [...c.inputs],
    snapshots: new Map([...c.snapshots].map(([key, list]) => [key, [...list]])),
    episodes: new Map(c.episodes),
    conflicts: new Map(c.conflicts),
    rejections: [...c.rejections],
    heard: [...c.heard],
    messages: [...c.messages],
  }
}

function keyOf({ sensorId, quantity, atMs }: Reading): string {
  return `${sensorId}|${quantity}|${atMs}`
}

import { dateSample, type NodeClock } from '../node-clock.ts'
import type { Sample } from '../sample.ts'
import type { OutboxLimits, WaitingPack } from './outbox.ts'

/** What the queue knows of an entry; `held` is the entry itself or where it lies. */
export interface Place<T> {
  readonly id: number
  readonly bytes: number
  readonly bootId: string
  readonly firstSample: Sample
  readonly held: T
}

/** The order, bounds and counts that every outbox shares. */
export interface BoundedQueue<T> {
  /** Puts a place at the end, then drops from the front what is over the bounds. */
  readonly push: (place: Place<T>) => void
  readonly after: (query: { readonly afterId: number; readonly limit: number }) => readonly T[]
  /** Was it there? */
  readonly remove: (id: number) => boolean
  /** The same, counted. */
  readonly drop: (id: number) => boolean
  /** Drops what has grown too old. */
  readonly prune: () => void
  /** The oldest id that still waits; null when none does. */
  readonly headId: () => number | null
  readonly counts: () => { waitingPacks: number; waitingBytes: number; droppedPacks: number }
}

export interface BoundedQueueOptions<T> {
  readonly limits: OutboxLimits
  readonly clock: NodeClock
  readonly droppedBefore?: number
  /** Called for every entry that leaves, by removal or drop. */
  readonly onGone?: (place: Place<T>) => void
}

export function createBoundedQueue<T>(options: BoundedQueueOptions<T>): BoundedQueue<T> {
  const { limits, clock, onGone } = options
  // A Map keeps the order in which entries came, and its front is cheap to find and to remove.
  const places = new Map<number, Place<T>>()
  let waitingBytes = 0
  let droppedPacks = options.droppedBefore ?? 0

  const take = (place: Place<T>): void => {
    places.delete(place.id)
    waitingBytes -= place.bytes
    onGone?.(place)
  }
  const isOver = (oldest: Place<T>): boolean =>
    waitingBytes > limits.maxBytes || ageMs(oldest.firstSample, oldest.bootId, clock) > limits.maxAgeMs
  const remove = (id: number): boolean => {
    const place = places.get(id)
    if (place) take(place)
    return place !== undefined
  }
  const drop = (id: number): boolean => {
    if (places.has(id)) droppedPacks++
    return remove(id)
  }
  const prune = (): void => {
    for (const oldest of places.values()) {
      if (!isOver(oldest)) return
      drop(oldest.id)
    }
  }
  return {
    push: (place) => {
      places.set(place.id, place)
      waitingBytes += place.bytes
      prune()
    },
    after: ({ afterId, limit }) => {
      const found: T[] = []
      for (const place of places.values()) {
        if (found.length >= limit) break
        if (place.id > afterId) found.push(place.held)
      }
      return found
    },
    remove,
    drop,
    prune,
    headId: () => {
      for (const id of places.keys()) return id
      return null
    },
    counts: () => ({ waitingPacks: places.size, waitingBytes, droppedPacks }),
  }
}

/** A sample that nobody can date any more counts as infinitely old. */
function ageMs(sample: Sample, bootId: string, clock: NodeClock): number {
  const dating = dateSample(sample, bootId, clock)
  if (dating.kind === 'absolute') return clock.nowMs() - dating.atMs
  return dating.kind === 'ago' ? dating.agoMs : Number.POSITIVE_INFINITY
}

/** @throws {RangeError} on a pack without samples: there is nothing to send, and no time to judge its age by. */
export function firstSampleOf(pack: WaitingPack): Sample {
  const [first] = pack.samples
  if (!first) throw new RangeError('a waiting pack holds at least one sample, got none')
  return first
}

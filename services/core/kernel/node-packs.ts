import { initialClockAhead } from '../detect/clock-ahead.ts'
import { initialReadingsMissing } from '../detect/readings-missing.ts'
import type { PackMark } from '../model/input.ts'
import type { NodeState } from './state.ts'

/** Ranges of missing packs remembered a node; beyond that the oldest counts as lost for good. */
const MISSING_RANGES = 50

export function initialNode(): NodeState {
  return {
    online: null,
    lastReceivedMs: null,
    bootId: null,
    highest: 0,
    missing: [],
    lostPacks: 0,
    droppedPacks: 0,
    clockAhead: initialClockAhead(),
    readingsMissing: initialReadingsMissing(),
    open: { clockAhead: null, readingsMissing: null },
  }
}

/**
 * Notes a pack's number. Packs may come out of order, since several connections share the load.
 *
 * PACK-1 a number above the highest opens a gap for those between.
 * PACK-2 a missing number that comes after all closes its gap; one that came before is a resend.
 * PACK-3 a new boot starts again at 1; what was missing of the old boot is lost. Packs that a node dropped from its
 *        full outbox are missing numbers like any other, and its own count of them is kept beside.
 */
export function notePack(node: NodeState, { bootId, packSequence, droppedPacks }: PackMark): void {
  if (bootId !== node.bootId) {
    node.lostPacks += missingPacks(node)
    node.bootId = bootId
    node.highest = 0
    node.missing = []
  }
  node.droppedPacks = droppedPacks
  if (packSequence > node.highest) {
    if (packSequence > node.highest + 1) node.missing.push([node.highest + 1, packSequence - 1])
    node.highest = packSequence
  } else {
    node.missing = node.missing.flatMap((range) => without(range, packSequence))
  }
  while (node.missing.length > MISSING_RANGES) {
    const [from, to] = node.missing.shift() ?? [0, -1]
    node.lostPacks += to - from + 1
  }
}

/** Packs of this boot that have not come. */
export function missingPacks(node: NodeState): number {
  return node.missing.reduce((sum, [from, to]) => sum + to - from + 1, 0)
}

function without([from, to]: [number, number], n: number): [number, number][] {
  if (n < from || n > to) return [[from, to]]
  const parts: [number, number][] = [
    [from, n - 1],
    [n + 1, to],
  ]
  return parts.filter(([a, b]) => a <= b)
}

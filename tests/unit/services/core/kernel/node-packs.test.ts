import { describe, expect, it } from 'vitest'
import { initialNode, missingPacks, notePack } from '../../../../../services/core/kernel/node-packs.ts'

function after(...packs: [string, number][]) {
  const node = initialNode()
  for (const [bootId, packSequence] of packs) notePack(node, { bootId, packSequence, droppedPacks: 0 })
  return node
}

describe('packs of a node', () => {
  it('PACK-1 a number above the highest opens a gap for those between', () => {
    expect(missingPacks(after(['a', 1], ['a', 5]))).toBe(3)
  })
  it('PACK-2 a missing number that comes after all closes its gap, in any order', () => {
    expect(missingPacks(after(['a', 1], ['a', 5], ['a', 3]))).toBe(2)
    expect(after(['a', 1], ['a', 5], ['a', 3]).missing).toEqual([
      [2, 2],
      [4, 4],
    ])
    expect(missingPacks(after(['a', 1], ['a', 5], ['a', 3], ['a', 2], ['a', 4]))).toBe(0)
  })
  it('PACK-2 a resend changes nothing', () => {
    expect(after(['a', 1], ['a', 2], ['a', 1])).toEqual(after(['a', 1], ['a', 2]))
  })
  it('PACK-3 a new boot starts again at 1, and what was missing of the old is lost', () => {
    const node = after(['a', 1], ['a', 4], ['b', 1])
    expect(missingPacks(node)).toBe(0)
    expect(node.lostPacks).toBe(2)
  })
  it('remembers a bounded number of gaps, and counts what it forgets', () => {
    const node = after(...Array.from({ length: 100 }, (_, i): [string, number] => ['a', 2 * i + 2]))
    expect(node.missing.length).toBe(50)
    expect(missingPacks(node) + node.lostPacks).toBe(100)
  })
})

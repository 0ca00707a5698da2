import {
  appendFileSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createDiskOutbox } from '../../../../sensors/outbox/disk-outbox.ts'
import type { Outbox, OutboxLimits } from '../../../../sensors/outbox/outbox.ts'
import { createHandClock, sampleNow } from '../../../parts/node-clock.ts'

const LIMITS: OutboxLimits = { maxBytes: 1_000_000, maxAgeMs: 3_600_000 }
const clock = createHandClock({ nowMs: Date.UTC(2026, 0, 5) })

let folder = ''
beforeEach(() => (folder = mkdtempSync(join(tmpdir(), 'nightcap-outbox-'))))
afterEach(() => rmSync(folder, { recursive: true, force: true }))

function open(directory = folder, limits = LIMITS): Outbox {
  return createDiskOutbox({ directory, limits, clock })
}
function append(outbox: Outbox, from: number, through: number): void {
  for (let n = from; n <= through; n++)
    outbox.append({ bootId: 'b0b0', packSequence: n, samples: [sampleNow(clock)] })
}
function sequences(outbox: Outbox): readonly number[] {
  return outbox.peek({ afterId: 0, limit: 10_000 }).map((e) => e.packSequence)
}
function removeFirst(outbox: Outbox, count: number): void {
  for (const { id } of outbox.peek({ afterId: 0, limit: count })) outbox.remove(id)
}
function segments(directory = folder): string[] {
  return readdirSync(directory)
    .filter((f) => f.endsWith('.packs'))
    .sort()
}
function bytesOnDisk(directory = folder): number {
  return readdirSync(directory).reduce((sum, f) => sum + statSync(join(directory, f)).size, 0)
}
function oneTo(count: number, from = 1): number[] {
  return Array.from({ length: count }, (_, i) => i + from)
}

describe('an outbox on disk', () => {
  it('DISK-1 a process that ends without a word loses nothing', () => {
    append(open(), 1, 5)
    const next = open()
    expect(sequences(next)).toEqual([1, 2, 3, 4, 5])
    expect(next.stats()).toMatchObject({ waitingPacks: 5, tornLines: 0 })
    append(next, 6, 6)
    const ids = next.peek({ afterId: 0, limit: 10 }).map((e) => e.id)
    expect(ids).toEqual([...new Set(ids)].sort((a, b) => a - b))
    expect(sequences(open())).toEqual([1, 2, 3, 4, 5, 6])
  })

  it('DISK-2 what was removed stays away after a clean end', () => {
    const outbox = open()
    append(outbox, 1, 10)
    removeFirst(outbox, 4)
    outbox.close()
    expect(sequences(open())).toEqual([5, 6, 7, 8, 9, 10])
  })

  it('DISK-3 an emptied box leaves no segment behind, and its ids go on', () => {
    const outbox = open()
    append(outbox, 1, 3)
    const last = outbox.peek({ afterId: 0, limit: 3 }).at(-1)?.id ?? 0
    removeFirst(outbox, 3)
    outbox.close()
    expect(segments()).toEqual([])
    const next = open()
    append(next, 4, 4)
    expect(next.peek({ afterId: 0, limit: 1 })[0]?.id).toBe(last + 1)
  })

  it('DISK-4 the folder stays within its bound and one segment, however much passes through', () => {
    const limits = { ...LIMITS, maxBytes: 24 * 1024 }
    const outbox = open(folder, limits)
    let most = 0
    for (let n = 1; n <= 500; n++) {
      append(outbox, n, n)
      if (n % 3 === 0) removeFirst(outbox, 1)
      most = Math.max(most, bytesOnDisk())
    }
    expect(outbox.stats().droppedPacks).toBeGreaterThan(0)
    expect(most).toBeGreaterThan(limits.maxBytes * 0.9)
    expect(most).toBeLessThanOrEqual(limits.maxBytes * 1.25 + 1024)
    const { droppedPacks } = outbox.stats()
    outbox.close()
    expect(open(folder, limits).stats().droppedPacks).toBe(droppedPacks)
  })

  it('DISK-5 folder and files are for this user alone', () => {
    const directory = join(folder, 'deep', 'outbox')
    const outbox = open(directory)
    append(outbox, 1, 1)
    outbox.close()
    expect(statSync(directory).mode & 0o777).toBe(0o700)
    for (const file of readdirSync(directory)) expect(statSync(join(directory, file)).mode & 0o077).toBe(0)
  })

  it('DISK-6 a spoilt cursor means packs sent twice, none lost', () => {
    const outbox = open()
    append(outbox, 1, 4)
    removeFirst(outbox, 2)
    outbox.close()
    writeFileSync(join(folder, 'cursor.json'), '{"doneThr')
    expect(sequences(open())).toEqual([1, 2, 3, 4])
  })

  it('DISK-7 a folder that is a file is refused with a code', () => {
    const path = join(folder, 'occupied')
    writeFileSync(path, '')
    expect(() => open(path)).toThrow(expect.objectContaining({ code: 'OUTBOX_OPEN' }))
  })

  it('DISK-8 a refused write says so, keeps the rest, and the next one works again', () => {
    const outbox = open()
    append(outbox, 1, 2)
    // The next segment's name is taken, as by a second node in the same folder.
    const small = open(join(folder, 'two'), LIMITS)
    mkdirSync(join(folder, 'two', '000000000001.packs'))
    expect(() => append(small, 1, 1)).toThrow(expect.objectContaining({ code: 'OUTBOX_WRITE' }))
    expect(small.stats().waitingPacks).toBe(0)
    rmSync(join(folder, 'two', '000000000001.packs'), { recursive: true })
    append(small, 1, 1)
    expect(sequences(small)).toEqual([1])
    expect(sequences(outbox)).toEqual([1, 2])
  })
})

describe('torn lines', () => {
  it('DISK-9 cut at any byte of its tail, the box opens, keeps all whole packs and counts the torn one', () => {
    append(open(), 1, 4)
    const [name = ''] = segments()
    const content = readFileSync(join(folder, name))
    const ends = [...content.entries()].filter(([, byte]) => byte === 10).map(([at]) => at + 1)
    const [, , third = 0] = ends
    let torn = 0
    for (let length = third; length <= content.length; length++) {
      const copy = join(folder, 'copy')
      rmSync(copy, { recursive: true, force: true })
      mkdirSync(copy)
      cpSync(join(folder, name), join(copy, name))
      truncateSync(join(copy, name), length)
      const outbox = open(copy)
      // The last byte is the line feed: without it the pack is whole all the same.
      const isWhole = length >= content.length - 1
      expect(sequences(outbox)).toEqual(oneTo(isWhole ? 4 : 3))
      const { tornLines } = outbox.stats()
      expect(tornLines).toBe(isWhole || length === third ? 0 : 1)
      torn += tornLines
      append(outbox, 9, 9)
      expect(sequences(open(copy)).at(-1)).toBe(9)
      outbox.close()
    }
    expect(torn).toBe(content.length - third - 2)
  })

  it('DISK-10 zeros and noise at the end, as power cuts leave them, spoil nothing before and after', () => {
    append(open(), 1, 2)
    appendFileSync(
      join(folder, segments()[0] ?? ''),
      Buffer.concat([Buffer.alloc(300), Buffer.from('\n{"a":1}\n')]),
    )
    const outbox = open()
    append(outbox, 3, 3)
    expect(sequences(outbox)).toEqual([1, 2, 3])
    expect(outbox.stats().tornLines).toBe(2)
  })

  it('DISK-11 a pack that changed on disk while it waited is left out and counted', () => {
    const outbox = open()
    append(outbox, 1, 3)
    const path = join(folder, segments()[0] ?? '')
    const content = readFileSync(path)
    content.write('x', content.indexOf(10) + 20)
    writeFileSync(path, content)
    expect(sequences(outbox)).toEqual([1, 3])
    expect(outbox.stats()).toMatchObject({ waitingPacks: 2, tornLines: 1 })
  })
})

describe('over any course of events', () => {
  type Step =
    { kind: 'append' | 'remove' | 'removeLast' | 'restart' | 'crash' } | { kind: 'tear'; bytes: number }
  const step: fc.Arbitrary<Step> = fc.oneof(
    { weight: 6, arbitrary: fc.constant<Step>({ kind: 'append' }) },
    { weight: 4, arbitrary: fc.constantFrom<Step>({ kind: 'remove' }, { kind: 'removeLast' }) },
    { weight: 1, arbitrary: fc.constantFrom<Step>({ kind: 'restart' }, { kind: 'crash' }) },
    { weight: 1, arbitrary: fc.integer({ min: 2, max: 60 }).map<Step>((bytes) => ({ kind: 'tear', bytes })) },
  )

  it('DISK-12 every pack is removed, dropped, torn, or there, in order; a restart may bring back, never lose', () => {
    const reached = { dropped: 0, torn: 0, broughtBack: 0, rolled: 0 }
    fc.assert(
      fc.property(fc.array(step, { minLength: 40, maxLength: 100 }), (steps) => {
        const directory = mkdtempSync(join(folder, 'run-'))
        const limits = { maxBytes: 1500, maxAgeMs: LIMITS.maxAgeMs }
        let outbox = open(directory, limits)
        let appended = 0
        let lost = 0
        const removed = new Set<number>()
        for (const { kind, ...more } of steps) {
          if (kind === 'append') append(outbox, ++appended, appended)
          if (kind === 'remove') {
            const [first] = outbox.peek({ afterId: 0, limit: 1 })
            if (first) removed.add(first.packSequence)
            outbox.remove(first?.id ?? 0)
          }
          if (kind === 'removeLast') {
            const last = outbox.peek({ afterId: 0, limit: 1000 }).at(-1)
            if (last) removed.add(last.packSequence)
            outbox.remove(last?.id ?? 0)
          }
          if (kind === 'restart') outbox.close()
          if (kind === 'tear') {
            const name = segments(directory).at(-1)
            const path = join(directory, name ?? 'none')
            if (name !== undefined && sequences(outbox).at(-1) === appended) {
              truncateSync(
                path,
                Math.max(0, statSync(path).size - ('bytes' in more ? Number(more.bytes) : 0)),
              )
              lost++
            }
          }
          if (kind === 'restart' || kind === 'crash' || kind === 'tear') {
            outbox = open(directory, limits)
            for (const n of sequences(outbox)) if (removed.delete(n)) reached.broughtBack++
          }
          if (segments(directory).length > 1) reached.rolled++
        }
        const there = sequences(outbox)
        const { droppedPacks, waitingBytes } = outbox.stats()
        expect(there).toEqual([...new Set(there)].sort((a, b) => a - b))
        expect(there.some((n) => removed.has(n))).toBe(false)
        expect(waitingBytes).toBeLessThanOrEqual(limits.maxBytes)
        expect(there.length + removed.size + droppedPacks + lost).toBeGreaterThanOrEqual(appended)
        reached.dropped += droppedPacks
        reached.torn += lost
        outbox.close()
        rmSync(directory, { recursive: true })
      }),
      { numRuns: 40 },
    )
    expect(reached.dropped).toBeGreaterThan(0)
    expect(reached.torn).toBeGreaterThan(0)
    expect(reached.broughtBack).toBeGreaterThan(0)
    expect(reached.rolled).toBeGreaterThan(0)
  })
})

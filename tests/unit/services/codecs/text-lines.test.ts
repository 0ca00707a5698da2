import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { lineBlocks } from '../../../../services/codecs/text-lines.ts'

async function* inPieces(text: Buffer, sizes: readonly number[]): AsyncGenerator<Buffer> {
  for (let at = 0, i = 0; at < text.length; i++) {
    const size = sizes[i % sizes.length] ?? 1
    yield text.subarray(at, at + size)
    at += size
  }
}
async function read(text: Buffer, sizes: readonly number[], maxLineBytes: number) {
  const lines: (string | null)[] = []
  let bytes = 0
  const ends: [bytes: number, lines: number][] = []
  for await (const block of lineBlocks(inPieces(text, sizes), maxLineBytes)) {
    for (const line of block.lines) lines.push(line)
    bytes += block.bytes
    ends.push([bytes, lines.length])
  }
  return { lines, bytes, ends }
}

describe('lines of a text that comes in pieces', () => {
  it('are the same whatever the pieces, and so is going on behind any block', async () => {
    const reached = { pieces: 0, long: 0, resumed: 0 }
    const line = fc.string({ unit: fc.constantFrom(...'ab,é✓"'), maxLength: 12 })
    await fc.assert(
      fc.asyncProperty(
        fc.array(line, { minLength: 1, maxLength: 20 }),
        fc.constantFrom('\n', '\r\n'),
        fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 4 }),
        fc.boolean(),
        async (sent, lineEnd, sizes, isEnded) => {
          const whole = sent.join(lineEnd) + (isEnded ? lineEnd : 'x')
          const text = Buffer.from(whole)
          const wanted = whole.split(lineEnd)
          if (isEnded) wanted.pop()
          const { lines, bytes, ends } = await read(text, sizes, 100)
          expect(lines).toEqual(wanted)
          expect(bytes).toBe(text.length)
          if (ends.length > 1) reached.pieces++
          const [[behind, count] = [0, 0]] = ends
          const rest = await read(text.subarray(behind), [7], 100)
          expect(rest.lines).toEqual(wanted.slice(count))
          if (rest.lines.length > 0) reached.resumed++
        },
      ),
      { numRuns: 300 },
    )
    expect(Math.min(reached.pieces, reached.resumed)).toBeGreaterThan(50)
  })
  it('one that is too long is told as such, in place, however long, and the next is whole', async () => {
    const text = Buffer.from(`a\n${'x'.repeat(10_000)}\nb\n${'y'.repeat(30)}\nc`)
    for (const sizes of [[1], [7, 64], [100_000]]) {
      const { lines, bytes } = await read(text, sizes, 20)
      expect(lines).toEqual(['a', null, 'b', null, 'c'])
      expect(bytes).toBe(text.length)
    }
    expect((await read(Buffer.from('z'.repeat(5_000)), [100], 20)).lines).toEqual([null])
    expect((await read(Buffer.alloc(0), [1], 20)).lines).toEqual([])
  })
  it('no more than a piece and a line are held of a line without an end', async () => {
    let held = 0
    const endless = async function* (): AsyncGenerator<Buffer> {
      for (let i = 0; i < 200; i++) {
        yield Buffer.alloc(1024 * 1024, 120)
        held = Math.max(held, process.memoryUsage().arrayBuffers)
      }
    }
    let blocks = 0
    for await (const block of lineBlocks(endless(), 4_096)) {
      blocks++
      expect(block).toEqual({ lines: [null], bytes: 200 * 1024 * 1024 })
    }
    expect(blocks).toBe(1)
    expect(held).toBeLessThan(150 * 1024 * 1024)
  })
})

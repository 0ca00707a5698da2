/** Whole lines, and how many bytes of the text they took with their line ends. */
export interface LineBlock {
  /** Without their line end; null for one that is longer than allowed. */
  readonly lines: readonly (string | null)[]
  readonly bytes: number
}

const LINE_FEED = 10

/**
 * A text that comes in pieces, as blocks of whole lines, each about as long as a piece. Lines end in LF or CRLF. Of a
 * line that is too long no more than a piece is ever held, so memory stays the same whatever comes.
 */
export async function* lineBlocks(
  pieces: AsyncIterable<Buffer>,
  maxLineBytes: number,
): AsyncGenerator<LineBlock> {
  let rest: Buffer = Buffer.alloc(0)
  let dropped = 0
  for await (const piece of pieces) {
    const held = rest.length === 0 ? piece : Buffer.concat([rest, piece])
    const end = held.lastIndexOf(LINE_FEED) + 1
    rest = held.subarray(end)
    if (end > 0) {
      yield blockOf(held.subarray(0, end - 1), { bytes: dropped + end, cut: dropped > 0, maxLineBytes })
      dropped = 0
    }
    if (rest.length > maxLineBytes) {
      dropped += rest.length
      rest = Buffer.alloc(0)
    }
  }
  if (rest.length + dropped > 0)
    yield blockOf(rest, { bytes: dropped + rest.length, cut: dropped > 0, maxLineBytes })
}

/** `cut`: the beginning of the first line was longer than allowed and is gone. */
function blockOf(
  text: Buffer,
  { bytes, cut, maxLineBytes }: { bytes: number; cut: boolean; maxLineBytes: number },
): LineBlock {
  const lines = text
    .toString('utf8')
    .split('\n')
    .map((line, i) => {
      if ((cut && i === 0) || line.length > maxLineBytes) return null
      return line.endsWith('\r') ? line.slice(0, -1) : line
    })
  return { lines, bytes }
}

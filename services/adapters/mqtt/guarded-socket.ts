import type { Socket } from 'node:net'
import { createPacketGuard, type OversizedPacket } from './packet-guard.ts'

export interface SocketWatch {
  readonly maxBytes: () => number
  /** Called once. What stood before the oversized packet has been handed on; nothing after it will be. */
  readonly onOversized: (packet: OversizedPacket) => void
}

/** Puts the packet guard between a socket and its one reader, which reads in paused mode (`readable`, then `read`). */
export function guardSocket(socket: Socket, { maxBytes, onOversized }: SocketWatch): void {
  const guard = createPacketGuard({ maxBytes })
  const read = socket.read.bind(socket)
  let cut = false
  socket.read = (size?: number): unknown => {
    const chunk: unknown = read(size)
    if (cut) return null
    if (!(chunk instanceof Uint8Array)) return chunk
    const { soundBytes, oversized } = guard(chunk)
    if (!oversized) return chunk
    cut = true
    onOversized(oversized)
    return soundBytes > 0 ? chunk.subarray(0, soundBytes) : null
  }
}

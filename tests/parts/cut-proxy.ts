import { once } from 'node:events'
import { connect, createServer, type AddressInfo, type Socket } from 'node:net'

/** A line between two that can be cut and mended: TCP, byte for byte. */
export interface CutProxy {
  readonly port: number
  /** Ends all connections and lets none through. */
  readonly cut: () => void
  readonly mend: () => void
  readonly close: () => void
}

export async function createCutProxy(toPort: number): Promise<CutProxy> {
  const sockets = new Set<Socket>()
  let whole = true
  const server = createServer((near) => {
    if (!whole) return near.destroy()
    const far = connect(toPort, '127.0.0.1')
    for (const [socket, other] of [
      [near, far],
      [far, near],
    ] as const) {
      sockets.add(socket)
      socket.on('error', () => undefined)
      socket.on('close', () => {
        sockets.delete(socket)
        other.destroy()
      })
      socket.pipe(other)
    }
    return near
  })
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  const cut = (): void => {
    whole = false
    for (const socket of sockets) socket.destroy()
  }
  return {
    port: (server.address() as AddressInfo).port,
    cut,
    mend: () => {
      whole = true
    },
    close: () => {
      cut()
      server.close()
    },
  }
}

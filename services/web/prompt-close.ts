import type { Socket } from 'node:net'
import type { FastifyInstance } from 'fastify'
import type { EventStreams } from './event-stream.ts'

/** Requests under way when the app closes have this long to end. Starting value. */
const GRACE_MS = 3_000

/**
 * Makes `app.close()` return soon: event streams end first, and so do connections on which nothing was ever asked
 * (browsers open some in advance), for the server would wait for both. Requests under way may end by themselves.
 */
export function addPromptClose(app: FastifyInstance, streams: Pick<EventStreams, 'close'>): void {
  const unused = new Set<Socket>()
  app.server.on('connection', (socket: Socket) => {
    unused.add(socket)
    socket.once('close', () => unused.delete(socket))
  })
  app.server.on('request', ({ socket }) => unused.delete(socket))
  app.addHook('preClose', async () => {
    streams.close()
    for (const socket of unused) socket.destroy()
    // Does not keep the process; the connections that it is for do.
    setTimeout(() => app.server.closeAllConnections(), GRACE_MS).unref()
  })
}

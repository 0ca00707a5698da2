import { connect, Server, type Socket } from 'node:net'
import { afterEach, expect, it, vi } from 'vitest'
import { openServer } from '../../../../../services/adapters/mqtt/open-server.ts'

afterEach(() => vi.restoreAllMocks())

it('SERVER-1 lets as many wait to be let in as may be in, so that nodes that come all at once need no second try', async () => {
  const listen = vi.spyOn(Server.prototype, 'listen')
  const sockets: Socket[] = []
  let accepted = 0
  const server = await openServer({
    host: '127.0.0.1',
    port: 0,
    tls: null,
    maxConnections: 900,
    onSocket: (socket) => {
      accepted++
      socket.on('error', () => socket.destroy())
    },
    onHandshakeFailed: () => undefined,
  })
  expect(listen.mock.calls[0]?.[0]).toMatchObject({ backlog: 900 })
  // All in one turn, so that none can be let in before the last has asked.
  for (let i = 0; i < 600; i++) sockets.push(connect(server.port, '127.0.0.1'))
  await Promise.all(sockets.map((socket) => new Promise((resolve) => socket.once('connect', resolve))))
  await vi.waitFor(() => expect(accepted).toBe(600))
  for (const socket of sockets) socket.destroy()
  await server.close()
})

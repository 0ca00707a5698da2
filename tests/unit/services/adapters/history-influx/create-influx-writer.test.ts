import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { afterEach, describe, expect, it } from 'vitest'
import { createInfluxWriter } from '../../../../../services/adapters/history-influx/create-influx-writer.ts'
import { HistoryRefusedError } from '../../../../../services/core/model/ports/history.ts'
import { placed } from '../../../../contracts/history-writer.contract.ts'

const servers: Server[] = []
afterEach(() => servers.splice(0).forEach((s) => (s.closeAllConnections(), s.close())))

interface Asked {
  readonly url: string
  readonly authorization: string
  readonly body: string
}

/** A store that answers as told, or never. */
async function store(status: number | 'never'): Promise<{ url: string; asked: Asked[] }> {
  const asked: Asked[] = []
  const server = createServer((request, answer) => {
    let body = ''
    request.on('data', (part: Buffer) => (body += part.toString()))
    request.on('end', () => {
      asked.push({ url: request.url ?? '', authorization: request.headers.authorization ?? '', body })
      if (status !== 'never') answer.writeHead(status).end(status === 204 ? undefined : '{"message":"no"}')
    })
  })
  servers.push(server)
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`, asked }
}

const writerTo = (url: string) =>
  createInfluxWriter({ url, org: 'shop', bucket: 'nightcap', token: 'secret', timeoutMs: 300 })
const failureOf = async (status: number | 'never'): Promise<unknown> => {
  const { url } = await store(status)
  return writerTo(url)
    .write([placed('room-a/humidity', 0)])
    .catch((error: unknown) => error)
}

describe('createInfluxWriter', () => {
  it('writes one request a call: a measurement a quantity, always the same tags, times in ms', async () => {
    const { url, asked } = await store(204)
    await writerTo(url).write([
      placed('room-a/humidity', 0, 41.5),
      { ...placed('press/power', 1, 80), quantity: 'power', subject: null, roomId: null, nodeId: 'press' },
    ])
    expect(asked).toEqual([
      {
        url: '/api/v2/write?org=shop&bucket=nightcap&precision=ms',
        authorization: 'Token secret',
        body: [
          'humidity,bottle=none,machine=none,node=room-a,room=room-a,sensor=room-a/humidity,site=quayside value=41.5 1777874400000',
          'power,bottle=none,machine=none,node=press,room=none,sensor=press/power,site=quayside value=80 1777874401000',
        ].join('\n'),
      },
    ])
  })
  it.each([400, 413, 422])('HW-3 %i is a refusal for good', async (status) => {
    const failure = await failureOf(status)
    expect(failure).toBeInstanceOf(HistoryRefusedError)
    expect(String(failure)).toContain(String(status))
  })
  it.each([401, 404, 429, 500, 503, 'never'] as const)(
    'HW-3 %s may be tried again, and says no secret',
    async (status) => {
      const failure = await failureOf(status)
      expect(failure).toBeInstanceOf(Error)
      expect(failure).not.toBeInstanceOf(HistoryRefusedError)
      expect(String(failure)).not.toContain('secret')
    },
  )
})

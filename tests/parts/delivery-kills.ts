import { spawn, type ChildProcess } from 'node:child_process'
import { once } from 'node:events'
import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'
import { fileURLToPath } from 'node:url'
import { createTemporaryFolders } from './temporary-folder.ts'

export interface DeliveryKills {
  readonly kills: number
  /** Notices that never came. Must be 0. */
  readonly lost: number
  /** Came again, under the key that they had. */
  readonly again: number
  /** All that came, beyond once each: a kill can cost one more of one notice. */
  readonly extra: number
  /** Keys that no notice has. Must be 0. */
  readonly strange: number
}

/**
 * Lets a child deliver notices to a receiver that kills it (SIGKILL) after it got one and before the child can have
 * written that down: every other time before the answer, else right after it.
 */
export async function runDeliveryKills(kills: number): Promise<DeliveryKills> {
  const folders = createTemporaryFolders()
  const dataDir = folders.make()
  const came = new Map<string, number>()
  let child: ChildProcess | null = null
  let killed = 0
  const receiver = createServer((request, response) => {
    request.resume().on('end', () => {
      const id = String(request.headers['webhook-id'])
      came.set(id, (came.get(id) ?? 0) + 1)
      const isFirst = came.get(id) === 1
      if (killed >= kills || !isFirst) return void response.writeHead(204).end()
      killed++
      if (killed % 2 === 0) return void child?.kill('SIGKILL')
      response.writeHead(204).end(() => child?.kill('SIGKILL'))
    })
  })
  receiver.listen(0, '127.0.0.1')
  await once(receiver, 'listening')
  const url = `http://127.0.0.1:${(receiver.address() as AddressInfo).port}/`
  const script = fileURLToPath(new URL('./delivery-child.ts', import.meta.url))
  const count = kills + 3
  try {
    for (;;) {
      const started = spawn(process.execPath, ['--import', 'tsx', script, dataDir, url, String(count)], {
        stdio: ['ignore', 'pipe', 'inherit'],
      })
      child = started
      started.stdout.setEncoding('utf8').on('data', (text: string) => {
        if (text.includes('done')) started.kill('SIGTERM')
      })
      const [, signal] = (await once(started, 'exit')) as [number | null, string | null]
      if (signal !== 'SIGKILL') break
    }
  } finally {
    receiver.closeAllConnections()
    receiver.close()
    folders.removeAll()
  }
  const wanted = Array.from({ length: count }, (_, n) => `notice-${n}`)
  return {
    kills: killed,
    lost: wanted.filter((key) => !came.has(key)).length,
    again: [...came.values()].filter((n) => n > 1).length,
    extra: [...came.values()].reduce((sum, n) => sum + n - 1, 0),
    strange: [...came.keys()].filter((key) => !wanted.includes(key)).length,
  }
}

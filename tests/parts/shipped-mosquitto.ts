import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { appendFileSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { connect } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { freePort } from './free-port.ts'
import { waitFor } from './wait-for.ts'

const SHIPPED = new URL('../../services/adapters/mqtt/mosquitto/', import.meta.url)

export interface ShippedMosquittoParts {
  /** Password of each user; `monitor` is Nightcap. */
  readonly users: Readonly<Record<string, string>>
  /** Lines put at the end of the shipped ACL file. */
  readonly moreAcl?: string
}

export interface ShippedMosquitto {
  /** The listener of the monitor. */
  readonly port: number
  /** The listener of nodes, devices and programs. */
  readonly nodePort: number
  readonly url: string
  /**
   * Resolves once all that it had acknowledged before is in its file. It saves on a turn of its loop after a change,
   * up to 0.1 s after the acknowledgement; `change` makes one more.
   */
  readonly untilSaved: (change: () => Promise<void>) => Promise<void>
  /** Ends it as a power cut would, or politely; data stays. */
  readonly stop: (signal?: 'SIGKILL' | 'SIGTERM') => Promise<void>
  readonly start: () => Promise<void>
  /** Stops it and removes its data. */
  readonly close: () => Promise<void>
}

/** A real mosquitto with the shipped mosquitto.conf and acl; only ports and paths are changed. */
export async function startShippedMosquitto({
  users,
  moreAcl = '',
}: ShippedMosquittoParts): Promise<ShippedMosquitto> {
  const folder = mkdtempSync(join(tmpdir(), 'nightcap-mosquitto-'))
  const [port, nodePort] = [await freePort(), await freePort()]
  const conf = readFileSync(new URL('mosquitto.conf', SHIPPED), 'utf8')
    .replace('listener 1883', `listener ${port} 127.0.0.1`)
    .replace('listener 1884', `listener ${nodePort} 127.0.0.1`)
    .replaceAll('/mosquitto/config/', `${folder}/`)
    .replaceAll('/mosquitto/data/', `${folder}/`)
  // Started by root it would become a user who cannot write here.
  writeFileSync(join(folder, 'mosquitto.conf'), `${process.getuid?.() === 0 ? 'user root\n' : ''}${conf}`)
  writeFileSync(join(folder, 'acl'), `${readFileSync(new URL('acl', SHIPPED), 'utf8')}\n${moreAcl}\n`)
  writeFileSync(join(folder, 'passwords'), '')
  for (const [user, password] of Object.entries(users)) {
    spawnSync('mosquitto_passwd', ['-b', join(folder, 'passwords'), user, password])
  }

  let child: ChildProcess | null = null
  const start = async (): Promise<void> => {
    child = spawn('mosquitto', ['-c', join(folder, 'mosquitto.conf')], { stdio: ['ignore', 'pipe', 'pipe'] })
    for (const stream of [child.stdout, child.stderr]) {
      stream?.on('data', (text: Buffer) => appendFileSync(join(folder, 'log'), text))
    }
    for (const waited of [port, nodePort]) await untilListening(waited, child)
  }
  const stop = async (signal: 'SIGKILL' | 'SIGTERM' = 'SIGTERM'): Promise<void> => {
    const running = child
    child = null
    if (!running || running.exitCode !== null) return
    const gone = new Promise((resolve) => running.once('exit', resolve))
    running.kill(signal)
    await gone
  }
  await start()
  return {
    port,
    nodePort,
    url: `mqtt://127.0.0.1:${port}`,
    untilSaved: async (change) => {
      const sinceMs = Date.now()
      await waitFor('mosquitto to save', async () => {
        await change()
        return savedMs(folder) > sinceMs ? true : null
      })
    },
    stop,
    start,
    close: async () => {
      await stop('SIGKILL')
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

function savedMs(folder: string): number {
  return statSync(join(folder, 'mosquitto.db'), { throwIfNoEntry: false })?.mtimeMs ?? 0
}

async function untilListening(port: number, child: ChildProcess): Promise<void> {
  await waitFor(`mosquitto to listen at ${port}`, async () => {
    if (child.exitCode !== null) throw new Error(`mosquitto ended with ${child.exitCode}`)
    return (await answers(port)) || null
  })
}

function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1')
    socket.once('connect', () => {
      socket.destroy()
      resolve(true)
    })
    socket.once('error', () => resolve(false))
  })
}

import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { connect } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { freePort } from './free-port.ts'
import { waitFor } from './wait-for.ts'

export interface MosquittoOptions {
  /** Names and passwords; without them anybody may come. */
  readonly users?: Readonly<Record<string, string>>
  /** Certificate and key (PEM files): then it speaks TLS alone. */
  readonly tls?: { readonly certFile: string; readonly keyFile: string }
  /** Further lines of mosquitto.conf. */
  readonly config?: readonly string[]
  /** Default yes; else call `start`. */
  readonly running?: boolean
}

export interface Mosquitto {
  readonly port: number
  /** `mqtt://` or `mqtts://` on localhost. */
  readonly url: string
  /** A folder of its own, removed at `close`. */
  readonly directory: string
  /** All that it has written so far. */
  readonly log: () => string
  /** Resolves when it takes connections; the same port each time. */
  readonly start: () => Promise<void>
  readonly stop: (signal?: 'SIGTERM' | 'SIGKILL') => Promise<void>
  readonly close: () => Promise<void>
}

/** A real Mosquitto on a free port of this computer. Ask `requireProgram(context, 'mosquitto')` first. */
export async function startMosquitto(options: MosquittoOptions = {}): Promise<Mosquitto> {
  const directory = mkdtempSync(join(tmpdir(), 'nightcap-mosquitto-'))
  const port = await freePort()
  const configFile = join(directory, 'mosquitto.conf')
  writeFileSync(configFile, configLines(options, { directory, port }).join('\n') + '\n')
  let child: ChildProcess | null = null
  let log = ''

  const start = async (): Promise<void> => {
    const started = spawn('mosquitto', ['-c', configFile], { stdio: ['ignore', 'pipe', 'pipe'] })
    const note = (text: Buffer): void => void (log += text.toString())
    started.stdout.on('data', note)
    started.stderr.on('data', note)
    started.on('error', (error) => (log += error.message))
    child = started
    await waitFor('mosquitto to take connections', async () => {
      if (started.exitCode !== null) throw new Error(`mosquitto ended at once: ${log}`)
      return (await takesConnections(port)) || null
    })
  }
  const stop = async (signal: 'SIGTERM' | 'SIGKILL' = 'SIGTERM'): Promise<void> => {
    const running = child
    child = null
    if (!running || running.exitCode !== null) return
    const ended = new Promise((resolve) => running.once('exit', resolve))
    running.kill(signal)
    await ended
  }
  if (options.running ?? true) await start()
  return {
    port,
    url: `${options.tls ? 'mqtts' : 'mqtt'}://localhost:${port}`,
    directory,
    log: () => log,
    start,
    stop,
    close: async () => {
      await stop('SIGKILL')
      rmSync(directory, { recursive: true, force: true })
    },
  }
}

function configLines(
  { users, tls, config = [] }: MosquittoOptions,
  { directory, port }: { directory: string; port: number },
): string[] {
  const passwordFile = join(directory, 'passwords')
  const lines = [`listener ${port} localhost`, 'log_type all', 'log_dest stderr', 'user root']
  if (tls) lines.push(`certfile ${tls.certFile}`, `keyfile ${tls.keyFile}`)
  if (users) {
    writeFileSync(passwordFile, '', { mode: 0o600 })
    for (const [name, password] of Object.entries(users)) addUser(passwordFile, { name, password })
    lines.push(`password_file ${passwordFile}`)
  }
  return [...lines, `allow_anonymous ${users ? 'false' : 'true'}`, ...config]
}

function addUser(file: string, { name, password }: { name: string; password: string }): void {
  const { status, stderr } = spawnSync('mosquitto_passwd', ['-b', file, name, password])
  if (status !== 0) throw new Error(`mosquitto_passwd ended with ${status}: ${stderr.toString()}`)
}

function takesConnections(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, 'localhost')
    socket.once('connect', () => resolve(true)).once('error', () => resolve(false))
    socket.once('connect', () => socket.destroy())
  })
}

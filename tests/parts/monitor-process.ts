import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { waitFor } from './wait-for.ts'

const NIGHTCAP = fileURLToPath(new URL('../../.build/nightcap.mjs', import.meta.url))

/** A real monitor in a process of its own, as `npm start` runs it. */
export interface MonitorProcess {
  readonly url: string
  readonly pid: number
  readonly firstOwnerCode: string | null
  readonly output: () => string
  /** SIGKILL, as a power cut would. */
  readonly kill: () => Promise<void>
  /** SIGTERM; gives the exit code. */
  readonly stop: () => Promise<number | null>
}

export async function spawnMonitor(environment: Record<string, string>): Promise<MonitorProcess> {
  if (!existsSync(NIGHTCAP)) throw new Error('there is no .build/nightcap.mjs: run npm run build first')
  const child = spawn(process.execPath, [NIGHTCAP, 'serve'], {
    env: { PATH: process.env['PATH'], ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let output = ''
  child.stdout.on('data', (text: Buffer) => (output += text.toString()))
  child.stderr.on('data', (text: Buffer) => (output += text.toString()))
  const url = await waitFor('the monitor to say where it is', () => {
    if (child.exitCode !== null) throw new Error(`the monitor ended with ${child.exitCode}:\n${output}`)
    return /Nightcap is at (\S+)/.exec(output)?.[1] ?? null
  })
  await waitFor('the monitor to be ready', () => (output.includes('Ready.') ? true : null))
  return {
    url,
    pid: child.pid ?? 0,
    firstOwnerCode: /#first-owner=(\S+)/.exec(output)?.[1] ?? null,
    output: () => output,
    kill: () => ended(child, 'SIGKILL').then(() => undefined),
    stop: () => ended(child, 'SIGTERM'),
  }
}

function ended(child: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  return new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null) return resolve(child.exitCode)
    child.once('exit', (code) => resolve(code))
    child.kill(signal)
  })
}

import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'

const MAIN = fileURLToPath(new URL('../../services/cli/main.ts', import.meta.url))

export interface CommandProcess {
  readonly output: () => string
  readonly kill: (signal: NodeJS.Signals) => void
  /** The exit code, or the signal that ended it. */
  readonly ended: Promise<number | string>
}

/** `nightcap ...` as a process of its own, on a data folder. */
export function spawnCommand(args: readonly string[], dataDir: string): CommandProcess {
  const child = spawn(process.execPath, ['--import', 'tsx', MAIN, ...args], {
    env: { PATH: process.env['PATH'], NIGHTCAP_DATA_DIR: dataDir },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let output = ''
  child.stdout.on('data', (text: Buffer) => (output += text.toString()))
  child.stderr.on('data', (text: Buffer) => (output += text.toString()))
  return {
    output: () => output,
    kill: (signal) => void child.kill(signal),
    ended: once(child, 'close').then(([code, signal]) => (code ?? signal) as number | string),
  }
}

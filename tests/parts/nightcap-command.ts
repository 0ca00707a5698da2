import { spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const NIGHTCAP = fileURLToPath(new URL('../../.build/nightcap.mjs', import.meta.url))

export interface CommandRun {
  readonly code: number | null
  readonly output: string
}

/** Runs a command of the built release to its end, as a person would in a shell. */
export function runNightcap(
  args: readonly string[],
  environment: Record<string, string>,
): Promise<CommandRun> {
  const child = spawn(process.execPath, [NIGHTCAP, ...args], {
    env: { PATH: process.env['PATH'], ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let output = ''
  child.stdout.on('data', (text: Buffer) => (output += text.toString()))
  child.stderr.on('data', (text: Buffer) => (output += text.toString()))
  return new Promise((resolve) => child.once('close', (code) => resolve({ code, output })))
}

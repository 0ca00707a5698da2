import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { waitFor } from './wait-for.ts'

export interface RecordsChild {
  readonly pid: number
  /** What it has printed so far, whole lines. */
  readonly lines: () => readonly string[]
  /** SIGKILL, then waits until the process is gone and its last words are read. */
  readonly kill: () => Promise<void>
}

/** Starts `records-child.ts` and waits until it has the folder open. */
export async function spawnRecordsChild(mode: 'hold' | 'write', dataDir: string): Promise<RecordsChild> {
  const script = fileURLToPath(new URL('./records-child.ts', import.meta.url))
  const child = spawn(process.execPath, ['--import', 'tsx', script, mode, dataDir], {
    stdio: ['pipe', 'pipe', 'pipe'],
  })
  let out = ''
  let trouble = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => (out += text))
  child.stderr.setEncoding('utf8').on('data', (text: string) => (trouble += text))
  const lines = (): readonly string[] => out.split('\n').slice(0, -1)
  await waitFor('the child to open the folder', () => {
    if (child.exitCode !== null) throw new Error(`the child ended: ${trouble}`)
    return lines().length > 0 ? true : null
  })
  return {
    pid: child.pid ?? 0,
    lines,
    kill: async () => {
      const closed = once(child, 'close')
      child.kill('SIGKILL')
      await closed
    },
  }
}

import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { Worker } from 'node:worker_threads'

export interface RunningWorker {
  /** Resolves when it ended by itself or was stopped; rejects with what went wrong in it. */
  readonly done: Promise<void>
  readonly stop: () => Promise<void>
}

/**
 * Runs a worker of this folder in a thread of its own: the built one beside the commands, or the source.
 *
 * @param name file name without its ending, such as `causes-worker`.
 */
export function runWorker<Word>(
  name: string,
  { data, hear }: { readonly data: unknown; readonly hear: (word: Word) => void },
): RunningWorker {
  const built = fileURLToPath(new URL(`./${name}.mjs`, import.meta.url))
  const worker = existsSync(built)
    ? new Worker(built, { workerData: data })
    : new Worker(fromSource(new URL(`./${name}.ts`, import.meta.url)), { eval: true, workerData: data })
  let stopped = false
  const done = new Promise<void>((resolve, reject) => {
    worker.on('message', (word: Word) => {
      if (!stopped) hear(word)
    })
    worker.on('error', reject)
    worker.on('exit', (code) =>
      code === 0 || stopped ? resolve() : reject(new Error(`the worker ended with code ${code}`)),
    )
  })
  return {
    done,
    stop: async () => {
      stopped = true
      await worker.terminate()
    },
  }
}

/** A thread does not take over how its parent reads TypeScript: it says so itself before it reads the first file. */
function fromSource({ href }: URL): string {
  return `import('tsx/esm/api').then(({ register }) => { register(); return import('${href}') })`
}

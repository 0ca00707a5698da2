import { Worker } from 'node:worker_threads'

/** What a kind of work does in its thread, from beginning to end: it reads the data folder and says what it finds. */
export type ThreadWork<Job, Word> = (
  job: Job,
  by: { readonly dataDir: string; readonly say: (word: Word) => void },
) => void

/** What a thread is given to do: a kind that `work-thread-entry.ts` knows, and what it needs to know of it. */
export interface ThreadOrder {
  readonly kind: string
  readonly dataDir: string
  readonly job: unknown
}

export interface WorkThread {
  /** Resolves when it is done or was stopped; rejects with what went wrong, as a clause without a full stop. */
  readonly done: Promise<void>
  /** Resolves when the thread is gone. */
  readonly stop: () => Promise<void>
}

export interface WorkThreadOptions<Word> {
  readonly hear: (word: Word) => void
  /** The thread's file; by itself the one that knows all kinds. */
  readonly entry?: URL
  readonly mostMemoryMb?: number
}

/** Starting value. */
const MOST_MEMORY_MB = 768

/** Teaches a thread to read TypeScript, where it runs from source: it does not take that over from its parent. */
const TYPESCRIPT = new URL('../../node_modules/tsx/dist/esm/api/index.mjs', import.meta.url).href

/**
 * Work that takes longer than a turn of the event loop may, on a thread of its own, so that neither the engine nor the
 * routes ever wait for it. All such work begins here.
 *
 * THREAD-1 whatever ends a thread (an error, no memory, a sudden exit) rejects `done` with words, and harms nothing else.
 * THREAD-2 everything that it said before it ended is heard before `done` settles.
 * THREAD-3 stopping ends it at once, in the middle of anything; nothing of it is heard after that, and it is no failure.
 * THREAD-4 it has at most `mostMemoryMb` of memory, and none of the monitor's environment.
 */
export function startWorkThread<Word>(
  order: ThreadOrder,
  { hear, entry = ownEntry(), mostMemoryMb = MOST_MEMORY_MB }: WorkThreadOptions<Word>,
): WorkThread {
  const worker = openWorker(entry, order, mostMemoryMb)
  let isStopped = false
  let reason: string | null = null
  const note = (why: string): void => void (reason ??= why)
  worker.on('message', (word: Word) => {
    if (!isStopped) hear(word)
  })
  worker.on('messageerror', (error) => note(`what it found could not be handed over: ${error.message}`))
  // What it said last may come after its error, but comes before its exit.
  worker.on('error', (error) => note(reasonOf(error, mostMemoryMb)))
  const done = new Promise<void>((resolve, reject) => {
    worker.once('exit', (code) => {
      if (code !== 0) note(`it ended in the middle, with exit code ${code}`)
      if (isStopped || reason === null) resolve()
      else reject(new Error(reason))
    })
  })
  return {
    done,
    stop: async () => {
      isStopped = true
      await worker.terminate()
    },
  }
}

function reasonOf(error: Error & { code?: string }, mostMemoryMb: number): string {
  return error.code === 'ERR_WORKER_OUT_OF_MEMORY'
    ? `it needed more than the ${mostMemoryMb} MB that it may have: choose a shorter period, or one-minute records`
    : error.message
}

/** Built, the thread's file lies beside the commands; from source it is TypeScript. */
function ownEntry(): URL {
  return import.meta.url.endsWith('.ts')
    ? new URL('./work-thread-entry.ts', import.meta.url)
    : new URL('./work-thread-entry.mjs', import.meta.url)
}

function openWorker(entry: URL, order: ThreadOrder, maxOldGenerationSizeMb: number): Worker {
  const options = {
    workerData: order,
    resourceLimits: { maxOldGenerationSizeMb },
    execArgv: [],
    env: {},
    name: order.kind,
  }
  if (!entry.pathname.endsWith('.ts')) return new Worker(entry, options)
  const boot = `import(${JSON.stringify(TYPESCRIPT)}).then(({ register }) => {
    register()
    return import(${JSON.stringify(entry.href)})
  })`
  return new Worker(boot, { ...options, eval: true })
}

import { randomUUID } from 'node:crypto'
import { Worker } from 'node:worker_threads'

/** What a worker says to whoever started it; see `long-work-worker.ts`. */
export type WorkerSaid<Part> =
  | { readonly type: 'share'; readonly share: number; readonly doing: string }
  | { readonly type: 'part'; readonly part: Part }
  | { readonly type: 'done' }
  | { readonly type: 'failed'; readonly reason: string }

/** What a kind of long work does: it says how far it is, and hands over what it finds. Throwing ends it as failed. */
export type LongWorkKind = (
  order: unknown,
  by: {
    readonly context: Readonly<Record<string, unknown>>
    readonly share: (share: number, doing: string) => void
    readonly part: (part: unknown) => void
  },
) => void

/** How a piece of long work stands. What it gave so far stays, however it ended. */
export interface WorkView<Part> {
  readonly id: string
  readonly kind: string
  readonly state: 'running' | 'done' | 'stopped' | 'failed'
  /** 0 to 1. */
  readonly share: number
  readonly doing: string
  readonly parts: readonly Part[]
  /** Why it failed, and what can be done. */
  readonly reason: string | null
  readonly startedMs: number
  /** By its pace so far; null while that cannot be said. */
  readonly leftMs: number | null
}

export type WorkStart =
  { readonly ok: true; readonly id: string } | { readonly ok: false; readonly runningId: string }

export interface LongWork {
  /** LONG-1: at most one of a kind runs at a time; a second is refused, and told which one runs. */
  readonly start: (kind: string, order: unknown) => WorkStart
  /** LONG-2: the newest of each kind can be asked for, until the next of its kind begins; else null. */
  readonly look: <Part>(id: string) => WorkView<Part> | null
  /** The newest of a kind, or null. */
  readonly newest: (kind: string) => string | null
  /** LONG-3: ends it at once; what it gave so far stays. False when it does not run. */
  readonly stop: (id: string) => boolean
  /** LONG-5: nothing runs on after this. */
  readonly close: () => Promise<void>
}

export interface LongWorkParts {
  /** What the worker is told beside its order: where the data are. */
  readonly context: Readonly<Record<string, unknown>>
  readonly nowMs: () => number
  /** The worker's file; by itself the one that knows all kinds. */
  readonly entry?: URL
  /** LONG-4: more memory than this ends the work, and nothing else. Starting value. */
  readonly mostMemoryMb?: number
}

const MOST_MEMORY_MB = 768
/** Shorter than this, a pace tells nothing. */
const PACE_AFTER_SHARE = 0.01

/** Teaches a thread to read TypeScript, where it runs from source. */
const TYPESCRIPT = new URL('../../node_modules/tsx/dist/esm/api/index.mjs', import.meta.url).href

interface Running {
  view: WorkView<unknown>
  readonly worker: Worker
  readonly ended: Promise<void>
}

/**
 * Work that takes minutes, each on a thread of its own, so that neither the engine nor the routes ever wait for it. It
 * dies with the monitor. Whatever happens to the thread (an error, no memory, a sudden end) becomes a `failed` with
 * words, and never reaches the monitor.
 */
export function createLongWork({
  context,
  nowMs,
  entry = ownEntry(),
  mostMemoryMb = MOST_MEMORY_MB,
}: LongWorkParts): LongWork {
  const newest = new Map<string, Running>()
  const find = (id: string): Running | undefined => [...newest.values()].find((r) => r.view.id === id)

  const begin = (kind: string, order: unknown): string => {
    const worker = openWorker(entry, { kind, order, context }, mostMemoryMb)
    const view: WorkView<unknown> = {
      id: randomUUID(),
      kind,
      state: 'running',
      share: 0,
      doing: 'Starting',
      parts: [],
      reason: null,
      startedMs: nowMs(),
      leftMs: null,
    }
    const ended = new Promise<void>((resolve) => worker.once('exit', () => resolve()))
    const running: Running = { view, worker, ended }
    newest.set(kind, running)
    const change = (next: Partial<WorkView<unknown>>): void => {
      if (running.view.state === 'running') running.view = { ...running.view, ...next }
    }
    // What the thread said before it broke off comes in before its exit, and may come after its error.
    let reason: string | null = null
    const note = (why: string): void => void (reason ??= why)
    worker.on('message', (said: WorkerSaid<unknown>) => change(changeOf(said, running.view, nowMs())))
    worker.on('messageerror', (error) => note(`what it found could not be handed over (${error.message})`))
    worker.on('error', (error) => note(reasonOf(error, mostMemoryMb)))
    worker.on('exit', (code) => {
      note(`it ended in the middle (exit code ${code}): start it again`)
      change({ state: 'failed', reason, leftMs: null })
    })
    return view.id
  }
  return {
    start: (kind, order) => {
      const known = newest.get(kind)
      if (known?.view.state === 'running') return { ok: false, runningId: known.view.id }
      return { ok: true, id: begin(kind, order) }
    },
    look: <Part>(id: string) => (find(id)?.view ?? null) as WorkView<Part> | null,
    newest: (kind) => newest.get(kind)?.view.id ?? null,
    stop: (id) => {
      const running = find(id)
      if (running?.view.state !== 'running') return false
      running.view = { ...running.view, state: 'stopped', leftMs: null }
      void running.worker.terminate()
      return true
    },
    close: async () => {
      for (const { worker } of newest.values()) void worker.terminate()
      await Promise.all([...newest.values()].map(({ ended }) => ended))
    },
  }
}

function changeOf(
  said: WorkerSaid<unknown>,
  view: WorkView<unknown>,
  nowMs: number,
): Partial<WorkView<unknown>> {
  switch (said.type) {
    case 'share':
      return { share: said.share, doing: said.doing, leftMs: leftMs(view.startedMs, said.share, nowMs) }
    case 'part':
      return { parts: [...view.parts, said.part] }
    case 'done':
      return { state: 'done', share: 1, leftMs: null }
    case 'failed':
      return { state: 'failed', reason: said.reason, leftMs: null }
  }
}

function leftMs(startedMs: number, share: number, nowMs: number): number | null {
  return share < PACE_AFTER_SHARE ? null : Math.max(0, ((nowMs - startedMs) / share) * (1 - share))
}

function reasonOf(error: Error & { code?: string }, mostMemoryMb: number): string {
  return error.code === 'ERR_WORKER_OUT_OF_MEMORY'
    ? `it needed more than the ${mostMemoryMb} MB that it may have: choose a shorter period, or one-minute records`
    : `it broke off (${error.message}). Nothing else was touched: start it again, and tell us if it breaks off again`
}

/** Built, the worker is a file beside the commands; from source it is TypeScript, which its thread must learn to read. */
function ownEntry(): URL {
  return import.meta.url.endsWith('.ts')
    ? new URL('./long-work-worker.ts', import.meta.url)
    : new URL('./long-work-worker.mjs', import.meta.url)
}

function openWorker(entry: URL, workerData: unknown, maxOldGenerationSizeMb: number): Worker {
  const options = {
    workerData,
    resourceLimits: { maxOldGenerationSizeMb },
    execArgv: [],
    env: {},
    name: 'long-work',
  }
  if (!entry.pathname.endsWith('.ts')) return new Worker(entry, options)
  const boot = `import(${JSON.stringify(TYPESCRIPT)}).then(({ register }) => {
    register()
    return import(${JSON.stringify(entry.href)})
  })`
  return new Worker(boot, { ...options, eval: true })
}

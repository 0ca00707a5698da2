import { SHELL_CACHE } from '../src/phone/kept-answers.ts'

declare const self: ServiceWorkerGlobalScope
/** Written in by the build: a hash over all files of the board, and their addresses. */
declare const BUILD_HASH: string
declare const SHELL_FILES: readonly string[]

const CACHE = SHELL_CACHE + BUILD_HASH
const files = new Set(SHELL_FILES)

/** How long a page waits for the newest board before it takes the one it has. Starting value. */
const PAGE_WAIT_MS = 4000

/** Takes all files of the board, those of pages that were never opened too: they are needed where there is no line. */
export async function keepShell(): Promise<void> {
  const cache = await caches.open(CACHE)
  // Without saying who asks: what is kept must not depend on who was signed in.
  const asked = (file: string): Request => new Request(file, { cache: 'no-cache', credentials: 'omit' })
  await cache.addAll(SHELL_FILES.map(asked))
}

/** Boards of other builds are dropped. */
export async function dropOldShells(): Promise<void> {
  const names = await caches.keys()
  const old = names.filter((name) => name.startsWith(SHELL_CACHE) && name !== CACHE)
  await Promise.all(old.map((name) => caches.delete(name)))
}

/** The file of this build that a request asks for; null when it is none. */
export function shellFileOf(request: Request): 'page' | 'file' | null {
  if (request.method !== 'GET') return null
  const { origin, pathname } = new URL(request.url)
  if (origin !== self.location.origin) return null
  if (request.mode === 'navigate') return isPage(pathname) ? 'page' : null
  return files.has(pathname) ? 'file' : null
}

/** The board is one page; addresses with an ending are files, and links to answer by are the monitor's own pages. */
function isPage(pathname: string): boolean {
  return !pathname.startsWith('/api/') && !pathname.startsWith('/r/') && !/\.[^/]*$/.test(pathname)
}

/** The newest board where there is a line, else the one that is kept. */
export async function answerPage(request: Request): Promise<Response> {
  try {
    const fresh = await fetch(request, { signal: AbortSignal.timeout(PAGE_WAIT_MS) })
    if (fresh.ok) return fresh
  } catch {
    // No line, or one that hangs: below is what is kept.
  }
  return (await kept('/')) ?? fetch(request)
}

export async function answerFile(request: Request): Promise<Response> {
  return (await kept(new URL(request.url).pathname)) ?? fetch(request)
}

async function kept(path: string): Promise<Response | undefined> {
  return (await caches.open(CACHE)).match(path)
}

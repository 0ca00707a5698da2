import {
  ANSWERS_CACHE,
  changesWhoIsIn,
  HEARD_HEADER,
  isKeptPath,
  meansUnreachable,
} from '../src/phone/kept-answers.ts'
import { answerFile, answerPage, shellFileOf } from './shell.ts'

declare const self: ServiceWorkerGlobalScope

/** How long the shop is waited for before the last known state is shown. Starting value. */
const ANSWER_WAIT_MS = 8000

/** Whoever signs in or out ends what was kept; an answer that was under way then is not kept either. */
let turn = 0

/** The answer to a request of a page; null for what the worker has no part in. */
export function answerFetch(request: Request): Promise<Response> | null {
  const shell = shellFileOf(request)
  if (shell) return shell === 'page' ? answerPage(request) : answerFile(request)
  const { origin, pathname } = new URL(request.url)
  if (origin !== self.location.origin) return null
  if (changesWhoIsIn(request.method, pathname)) return changeWhoIsIn(request)
  return request.method === 'GET' && isKeptPath(pathname) ? answerKept(request) : null
}

async function changeWhoIsIn(request: Request): Promise<Response> {
  const isLeaving = request.method === 'DELETE'
  if (isLeaving) await forgetAnswers()
  const response = await fetch(request)
  if (response.ok && !isLeaving) await forgetAnswers()
  return response
}

async function forgetAnswers(): Promise<void> {
  turn++
  await caches.delete(ANSWERS_CACHE)
}

/** KEEP-4 the shop itself where it answers, and then it is kept; else the last known state, with its age on it. */
async function answerKept(request: Request): Promise<Response> {
  const before = turn
  try {
    const response = await fetch(request, { signal: AbortSignal.timeout(ANSWER_WAIT_MS) })
    if (meansUnreachable(response.status)) return (await lastKnown(request)) ?? response
    if (response.status === 401) await forgetAnswers()
    else if (response.ok && turn === before) await keep(request, response.clone())
    return response
  } catch (error) {
    const known = turn === before ? await lastKnown(request) : undefined
    if (known) return known
    throw error
  }
}

async function keep(request: Request, response: Response): Promise<void> {
  const headers = {
    'content-type': response.headers.get('content-type') ?? 'application/json',
    [HEARD_HEADER]: String(Date.now()),
  }
  const cache = await caches.open(ANSWERS_CACHE)
  await cache.put(request.url, new Response(await response.arrayBuffer(), { headers }))
}

async function lastKnown(request: Request): Promise<Response | undefined> {
  return (await caches.open(ANSWERS_CACHE)).match(request.url)
}

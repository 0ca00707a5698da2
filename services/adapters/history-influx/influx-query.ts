import { z } from 'zod'
import { HistoryUnreachableError } from '../../core/model/ports/history.ts'
import type { InfluxParts } from './create-influx-writer.ts'

const answerSchema = z.object({
  results: z
    .array(
      z.object({
        series: z
          .array(
            z.object({ values: z.array(z.array(z.unknown())).default([]), partial: z.boolean().optional() }),
          )
          .optional(),
        partial: z.boolean().optional(),
        error: z.string().optional(),
      }),
    )
    .optional(),
  error: z.string().optional(),
})

export interface InfluxRows {
  /** Numbers as the query names them, the time in ms first. */
  readonly rows: readonly (readonly number[])[]
  /** The store holds more than it gives at once. */
  readonly partial: boolean
}

export type InfluxQuery = (text: string) => Promise<InfluxRows>

/** What an owner can do about an answer that is none. */
const CURES: Readonly<Record<number, string>> = {
  401: 'it does not know the token; give one that may read the bucket (NIGHTCAP_INFLUX_TOKEN_FILE)',
  403: 'the token may not read the bucket; give one that may (NIGHTCAP_INFLUX_TOKEN_FILE)',
  404: 'it knows no such bucket; see NIGHTCAP_INFLUX_BUCKET',
}

/**
 * Asks over `/query`, which 1.x, 2.x and 3 serve, by POST: the question stands in no log of a proxy. No redirect is
 * followed, since the token would go with it, and no message quotes the token or what an address carries before its host.
 */
export function createInfluxQuery({ url, bucket, token, timeoutMs = 10_000 }: InfluxParts): InfluxQuery {
  const address = new URL('query', url.endsWith('/') ? url : `${url}/`)
  const where = `InfluxDB at ${address.origin}`
  address.username = address.password = ''
  return async (text) => {
    const answer = await send(address, {
      body: new URLSearchParams({ db: bucket, epoch: 'ms', q: text }),
      token,
      timeoutMs,
    })
    if (answer.problem !== null) throw new HistoryUnreachableError(`${where} ${answer.problem}`)
    const { status, text: body } = answer
    if (status !== 200) {
      const cure = CURES[status] ?? 'see its log'
      throw new HistoryUnreachableError(`${where} answered ${status}: ${cure}`)
    }
    return rowsOf(body, where)
  }
}

type Answer =
  { readonly problem: null; readonly status: number; readonly text: string } | { readonly problem: string }

async function send(
  address: URL,
  { body, token, timeoutMs }: { body: URLSearchParams; token: string; timeoutMs: number },
): Promise<Answer> {
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers: { authorization: `Token ${token}`, accept: 'application/json' },
      body,
      redirect: 'error',
      signal: AbortSignal.timeout(timeoutMs),
    })
    return { problem: null, status: answer.status, text: await answer.text() }
  } catch (error) {
    if (error instanceof Error && error.name === 'TimeoutError')
      return { problem: `did not answer within ${timeoutMs / 1000} s: see that it is not overloaded` }
    return {
      problem: `cannot be reached (${codeOf(error)}): see that it runs, and that NIGHTCAP_INFLUX_URL is right`,
    }
  }
}

/** The code of a network error alone: its text may quote the address in full. */
function codeOf(error: unknown): string {
  const cause = error instanceof Error ? (error.cause as { code?: unknown } | undefined) : undefined
  return typeof cause?.code === 'string' ? cause.code : 'no connection'
}

function rowsOf(body: string, where: string): InfluxRows {
  const parsed = answerSchema.safeParse(jsonOf(body))
  if (!parsed.success)
    throw new HistoryUnreachableError(
      `${where} answered with something else than InfluxDB does: see that NIGHTCAP_INFLUX_URL is its address`,
    )
  const result = parsed.data.results?.[0]
  const error = parsed.data.error ?? result?.error
  if (error !== undefined)
    throw new HistoryUnreachableError(
      `${where} could not answer (${error.slice(0, 200)}): see NIGHTCAP_INFLUX_BUCKET, and its log`,
    )
  const series = result?.series ?? []
  return {
    rows: series.flatMap(({ values }) => values.map((row) => row.map(Number))),
    partial: result?.partial === true || series.some((s) => s.partial === true),
  }
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return null
  }
}

import { lookup as systemLookup, type LookupAddress } from 'node:dns'
import { request as httpRequest, type IncomingMessage, type RequestOptions } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { isIP, type LookupFunction } from 'node:net'
import type { HttpPost, PostOutcome } from '../../core/model/ports/notify.ts'
import { isPrivateAddress } from './private-address.ts'

export interface HttpPostParts {
  /** From the first try to connect to the end of the answer's head. */
  readonly timeoutMs?: number
  /** Certificate authority to trust besides none other (PEM); the system's where it is left out. */
  readonly ca?: string
  /** Finds addresses of a name; the system's where it is left out. */
  readonly resolve?: (hostname: string) => Promise<readonly LookupAddress[]>
}

class PrivateAddressError extends Error {
  override readonly name = 'PrivateAddressError'
  readonly code = 'PRIVATE_ADDRESS'
}

const PRIVATE =
  'the address lies within a private network, which is refused: give a public one, or allow private ones where this address is set'

/**
 * Posts to places outside the house.
 *
 * POST-1 the address that is connected to is the one that was judged: the name is looked up once, and a name of which
 *        any address is private is refused, so that a name that changes its mind in between gains nothing.
 * POST-2 redirects are answers like any other, and not followed.
 * POST-3 it ends within its time, whatever the other side does; the answer's body is not read.
 */
export function createHttpPost({
  timeoutMs = 10_000,
  ca,
  resolve = resolveName,
}: HttpPostParts = {}): HttpPost {
  return ({ method = 'POST', url, headers, body, allowPrivate }) => {
    const { hostname, protocol } = new URL(url)
    const host = hostname.replace(/^\[|\]$/g, '')
    if (!allowPrivate && isIP(host) !== 0 && isPrivateAddress(host)) {
      return Promise.resolve({ kind: 'refused', reason: PRIVATE })
    }
    const options: RequestOptions & { ca?: string } = {
      method,
      headers: method === 'GET' ? headers : { ...headers, 'content-length': Buffer.byteLength(body) },
      lookup: judgedLookup(resolve, allowPrivate),
      agent: false,
      ...(ca === undefined ? {} : { ca }),
    }
    const send = protocol === 'https:' ? httpsRequest : httpRequest
    return new Promise<PostOutcome>((done) => {
      const request = send(url, options)
      const timer = setTimeout(
        () => request.destroy(new Error(`no answer within ${timeoutMs / 1000} s`)),
        timeoutMs,
      )
      const end = (outcome: PostOutcome): void => {
        clearTimeout(timer)
        done(outcome)
        request.destroy()
      }
      request.on('response', (response) => end(answered(response)))
      request.on('error', (error) =>
        end(
          error instanceof PrivateAddressError
            ? { kind: 'refused', reason: PRIVATE }
            : { kind: 'failed', reason: reasonOf(error) },
        ),
      )
      request.end(method === 'GET' ? undefined : body)
    })
  }
}

function answered({ statusCode, headers }: IncomingMessage): PostOutcome {
  return { kind: 'answered', status: statusCode ?? 0, retryAfterMs: retryAfterMs(headers['retry-after']) }
}

/** Retry-After (RFC 9110, section 10.2.3): seconds or a date; null when it is neither. */
export function retryAfterMs(text: string | undefined, nowMs = Date.now()): number | null {
  if (text === undefined) return null
  if (/^\d{1,9}$/.test(text.trim())) return Number(text) * 1000
  const atMs = Date.parse(text)
  return Number.isNaN(atMs) ? null : Math.max(0, atMs - nowMs)
}

function judgedLookup(
  resolve: (hostname: string) => Promise<readonly LookupAddress[]>,
  allowPrivate: boolean,
): LookupFunction {
  return (hostname, options, done) => {
    resolve(hostname).then(
      (addresses) => {
        const [first] = addresses
        if (!first) return done(new Error(`${hostname} has no address`), '', 0)
        if (!allowPrivate && addresses.some((a) => isPrivateAddress(a.address)))
          return done(new PrivateAddressError(PRIVATE), '', 0)
        return options.all ? done(null, [...addresses]) : done(null, first.address, first.family)
      },
      (error: Error) => done(error, '', 0),
    )
  }
}

function resolveName(hostname: string): Promise<readonly LookupAddress[]> {
  return new Promise((resolve, reject) =>
    systemLookup(hostname, { all: true }, (error, addresses) => (error ? reject(error) : resolve(addresses))),
  )
}

function reasonOf(error: Error & { code?: unknown }): string {
  return error.message || (typeof error.code === 'string' ? error.code : 'the connection failed')
}

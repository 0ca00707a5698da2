import type { FastifyReply, FastifyRequest, RouteOptions } from 'fastify'
import type { Act } from '../../core/model/act.ts'
import { may, type Permission, type Role } from '../../core/model/permissions.ts'
import type { AccountStore } from '../../core/model/ports/accounts.ts'
import { sendProblem } from '../problem.ts'
import { isAllowedHost, isAllowedOrigin } from '../request-trust.ts'
import type { WebConfig } from '../web-parts.ts'
import { sha256 } from './secrets.ts'
import { SESSION_COOKIE, type Sessions } from './session.ts'

/** Who sent the request. */
export interface Caller {
  readonly kind: 'person' | 'program'
  readonly id: string
  readonly name: string
  readonly role: Role
  /** One for each session or token, for counting streams. */
  readonly key: string
  /** Of a person: what the session is stored under. */
  readonly sessionHash: string | null
  /** Is the session or token still good? */
  readonly isStillGood: () => boolean
}

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Who may use the route, from the one table of permissions. Every route declares it. */
    permission?: Permission | 'anyone'
    /** The path itself holds what lets somebody in, so a change may come from any page: a mail shows it, for one. */
    secretInPath?: true
  }
  interface FastifyRequest {
    caller: Caller | null
  }
}

/** A route without `config.permission`: the app must not start. */
export class RouteUnguardedError extends Error {
  override readonly name = 'RouteUnguardedError'
  readonly code = 'ROUTE_UNGUARDED'
}

/** Refuses to start with a route that does not say who may use it. */
export function refuseUnguardedRoute(route: RouteOptions): void {
  if (route.config?.permission !== undefined) return
  throw new RouteUnguardedError(`${String(route.method)} ${route.url} declares no config.permission`)
}

export interface GuardParts {
  readonly accounts: AccountStore
  readonly sessions: Sessions
  readonly config: WebConfig
}

type Hook = (request: FastifyRequest, reply: FastifyReply) => Promise<FastifyReply | undefined>

/** The checks before every request, in order: the name it was sent to, who sends it, whether they may, from where. */
export function createGuards({ accounts, sessions, config }: GuardParts): readonly Hook[] {
  const { allowedHosts } = config
  return [
    async ({ headers }, reply) => {
      if (isAllowedHost(headers.host, allowedHosts)) return undefined
      const detail =
        'Host: the board does not answer to this name; add it to NIGHTCAP_ALLOWED_HOSTS, or use http://localhost'
      return sendProblem(reply, { status: 421, title: 'Not known by this name', detail })
    },
    async (request) => {
      request.caller = callerOf(request, accounts, sessions)
      return undefined
    },
    async (request, reply) => refuseByRole(request, reply),
    async (request, reply) => refuseByOrigin(request, reply, allowedHosts),
  ]
}

/** A bearer token, when there is one, alone decides: it cannot be sent by a foreign page, as a cookie could. */
function callerOf(request: FastifyRequest, accounts: AccountStore, sessions: Sessions): Caller | null {
  const { authorization } = request.headers
  if (authorization !== undefined) return programOf(authorization, accounts)
  const token = request.cookies[SESSION_COOKIE]
  const found = token ? sessions.find(sha256(token)) : null
  if (!found) return null
  const { person, tokenHash } = found
  return {
    kind: 'person',
    id: person.id,
    name: person.name,
    role: person.role,
    key: `session ${tokenHash}`,
    sessionHash: tokenHash,
    isStillGood: () => sessions.find(tokenHash) !== null,
  }
}

function programOf(authorization: string, accounts: AccountStore): Caller | null {
  const token = /^Bearer +(\S+)$/i.exec(authorization)?.[1]
  if (token === undefined) return null
  const secretHash = sha256(token)
  const good = (): ReturnType<AccountStore['credentialByHash']> => {
    const credential = accounts.credentialByHash('program', secretHash)
    return credential?.revokedMs === null ? credential : null
  }
  const credential = good()
  if (!credential) return null
  const { id, title } = credential
  return {
    kind: 'program',
    id,
    name: title,
    role: 'program',
    key: `program ${id}`,
    sessionHash: null,
    isStillGood: () => good() !== null,
  }
}

function refuseByRole(
  { routeOptions, caller }: FastifyRequest,
  reply: FastifyReply,
): FastifyReply | undefined {
  // Undefined only where no route matched: the answer is then 404 for everyone.
  const permission = routeOptions.config.permission ?? 'anyone'
  if (permission === 'anyone') return undefined
  if (!caller) {
    const detail = 'sign in, or send a bearer token that is still good'
    return sendProblem(reply.header('www-authenticate', 'Bearer'), {
      status: 401,
      title: 'Not signed in',
      detail,
    })
  }
  if (may(caller.role, permission)) return undefined
  const detail = `the role ${caller.role} lacks the permission ${permission}: ask an owner`
  return sendProblem(reply, { status: 403, title: 'Not for this role', detail })
}

const READING_METHODS = ['GET', 'HEAD', 'OPTIONS']

/** Nothing is changed from a foreign page: the Origin must be ours, or the browser must say "same-origin". */
function refuseByOrigin(
  { method, headers, caller, routeOptions }: FastifyRequest,
  reply: FastifyReply,
  allowedHosts: readonly string[],
): FastifyReply | undefined {
  if (READING_METHODS.includes(method) || caller?.kind === 'program') return undefined
  if (routeOptions.config.secretInPath) return undefined
  const { origin } = headers
  const allowed =
    origin === undefined
      ? headers['sec-fetch-site'] === 'same-origin'
      : isAllowedOrigin(origin, headers.host, allowedHosts)
  if (allowed) return undefined
  const detail =
    'Origin: changes are taken from the board itself or with a bearer token; behind a proxy, add the name the board is called by to NIGHTCAP_ALLOWED_HOSTS'
  return sendProblem(reply, { status: 403, title: 'Sent from elsewhere', detail })
}

/** The caller of a guarded route. @throws {Error} on a route that is open to anyone. */
export function callerOfGuarded(request: FastifyRequest): Caller {
  if (!request.caller) throw new Error(`${request.url} needs config.permission: nobody is signed in`)
  return request.caller
}

/** The stamp of a human act: who, through what, when by the monitor's clock. */
export function actOf(request: FastifyRequest, monitor: { nowMs: () => number }): Act {
  const { kind, id } = callerOfGuarded(request)
  return { actorId: id, via: kind === 'program' ? 'program' : 'screen', atMs: monitor.nowMs() }
}

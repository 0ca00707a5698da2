import { nameSchema } from '../../core/model/name.ts'
import { machineStateTopic, readingsTopic, statusTopic } from '../../core/model/topics.ts'
import type { MessageIndex } from './message-index.ts'

/** Who is at the other end of a connection. A foreign device is a node that speaks on the topics of its bindings. */
export interface ClientIdentity {
  readonly kind: 'node' | 'program'
  readonly id: string
}

/** Return codes of CONNACK, MQTT 3.1.1 table 3.1. */
export const REFUSED = { identifier: 2, password: 4, notAuthorised: 5 } as const

export interface RefusedConnection {
  readonly returnCode: 2 | 4 | 5
  /** For the log: what is wrong, and the cure. */
  readonly reason: string
}

export interface ConnectRequest {
  readonly clientId: string
  readonly username: string | undefined
  readonly password: string | undefined
  readonly willTopic: string | undefined
}

/** Checks a secret against what is on record. The wiring decides where that is. */
export type VerifySecret = (id: string, secret: string) => boolean | Promise<boolean>

export interface IdentityParts {
  readonly verifyNode: VerifySecret
  readonly verifyProgram: VerifySecret
  readonly index: () => MessageIndex
}

/**
 * Who asks for a connection, or why it is refused.
 *
 * ID-1 a node's user name and client id are its name; a foreign device may have any client id.
 * ID-2 a program's user name is its id; any client id.
 * ID-3 a last will may go only where the client may publish.
 */
export async function identify(
  request: ConnectRequest,
  parts: IdentityParts,
): Promise<ClientIdentity | RefusedConnection> {
  const { clientId, username, password, willTopic } = request
  if (!username || password === undefined) {
    return {
      returnCode: REFUSED.password,
      reason: 'no user name or secret was given: give the node or program its own',
    }
  }
  const identity = await identityOf(username, password, parts)
  if (!identity) {
    return {
      returnCode: REFUSED.password,
      reason: 'the secret is wrong or was revoked: make a new one in Setup',
    }
  }
  const { deviceIds } = parts.index()
  if (identity.kind === 'node' && clientId !== username && !deviceIds.has(username)) {
    return {
      returnCode: REFUSED.identifier,
      reason: `the client id of a node is its name: set it to ${username}`,
    }
  }
  if (willTopic !== undefined && !mayPublish(identity, willTopic, parts.index())) {
    return {
      returnCode: REFUSED.notAuthorised,
      reason: 'the last will goes to a topic that is not its own: correct the topic',
    }
  }
  return identity
}

async function identityOf(
  username: string,
  secret: string,
  parts: IdentityParts,
): Promise<ClientIdentity | null> {
  if (!nameSchema.safeParse(username).success) return null
  if (await parts.verifyNode(username, secret)) return { kind: 'node', id: username }
  return (await parts.verifyProgram(username, secret)) ? { kind: 'program', id: username } : null
}

/**
 * The client id under which a connection is kept. A second connection of one id ends the first, so none may take a
 * node's: those of programs and foreign devices stand in a space of their own, since a name holds no colon.
 */
export function keptClientId({ kind, id }: ClientIdentity, clientId: string): string {
  return kind === 'node' && clientId === id ? id : `${kind}:${id}:${clientId}`
}

/** A node may publish to exactly its two topics, a foreign device to those of its bindings, a program to none. */
export function mayPublish({ kind, id }: ClientIdentity, topic: string, index: MessageIndex): boolean {
  if (kind === 'program') return false
  if (topic === readingsTopic(index.site, id) || topic === statusTopic(index.site, id)) return true
  return index.bindingsOf(topic, id).length > 0
}

/** A program may hear the state of machines, all or one; a node hears nothing. */
export function maySubscribe({ kind }: ClientIdentity, filter: string, { site }: MessageIndex): boolean {
  if (kind !== 'program') return false
  return filter === machineStateTopic(site, '+') || isStateTopic(filter, site)
}

/** Is it the state topic of one machine of the site? */
export function isStateTopic(topic: string, site: string): boolean {
  const machine = topic.split('/')[4] ?? ''
  return topic === machineStateTopic(site, machine) && nameSchema.safeParse(machine).success
}

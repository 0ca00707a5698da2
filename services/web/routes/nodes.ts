import { z } from 'zod'
import { nameSchema } from '../../core/model/name.ts'
import { nodeSchema } from '../../core/model/settings.ts'
import { actOf } from '../auth/guards.ts'
import { createSecret, sha256 } from '../auth/secrets.ts'
import { noContent, problemResponse, sendNotFound, sendProblem } from '../problem.ts'
import { sendSettingsOutcome } from '../settings-outcome.ts'
import type { Routes } from './routes.ts'

const idSchema = z.strictObject({ id: nameSchema })
const issuedSchema = z.object({ id: nameSchema, secret: z.string() })
const wayInSchema = z.object({
  site: nameSchema,
  /** `own`: the embedded broker; `other`: one that the configuration names, which keeps its own secrets. */
  broker: z.enum(['own', 'other']),
  /** The address it listens on, or that of the other broker. */
  host: z.string(),
  port: z.int(),
  encrypted: z.boolean(),
  /** Nothing outside this computer can reach it. */
  thisComputerOnly: z.boolean(),
})

/** Nodes and the secrets they sign in to the broker with. A secret is in one answer, and then nowhere. */
export const nodeRoutes: Routes = async (app, { monitor, accounts, nowMs, settingsChanges }) => {
  const hasSecret = (id: string): boolean => accounts.credential('node', id)?.revokedMs === null
  const issue = (id: string, title: string): { id: string; secret: string } => {
    const secret = createSecret()
    accounts.putCredential({ id, kind: 'node', title, secretHash: sha256(secret), createdMs: nowMs() })
    monitor.nodeSecretChanged(id)
    return { id, secret }
  }

  app.post(
    '/nodes',
    {
      config: { permission: 'manageNodes' },
      schema: {
        operationId: 'addNode',
        summary: 'Add a node; its secret is in this answer alone',
        tags: ['nodes'],
        body: nodeSchema,
        response: { 201: issuedSchema, default: problemResponse },
      },
    },
    async (request, reply) => {
      const node = request.body
      if (hasSecret(node.id)) {
        const detail = `id: ${node.id} has a secret; POST /api/v1/nodes/${node.id}/secret replaces it`
        return sendProblem(reply, { status: 409, title: 'The node is there already', detail })
      }
      const outcome = await settingsChanges.make(actOf(request, monitor), (settings) => ({
        ...settings,
        nodes: [...settings.nodes.filter((n) => n.id !== node.id), node],
      }))
      if (!outcome.ok) return sendSettingsOutcome(reply, outcome)
      return reply.code(201).send(issue(node.id, node.title ?? node.id))
    },
  )
  app.post(
    '/nodes/:id/secret',
    {
      config: { permission: 'manageNodes' },
      schema: {
        operationId: 'replaceNodeSecret',
        summary: 'Give the node a new secret; the old one stops working at once',
        tags: ['nodes'],
        params: idSchema,
        response: { 200: issuedSchema, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      const node = monitor.settings().nodes.find((n) => n.id === id)
      return node
        ? issue(id, node.title ?? id)
        : sendNotFound(reply, `id: there is no node ${id}; add it first`)
    },
  )
  app.get(
    '/nodes/way-in',
    {
      config: { permission: 'manageNodes' },
      schema: {
        operationId: 'readWayIn',
        summary: 'Where sensor nodes find the broker',
        tags: ['nodes'],
        response: { 200: wayInSchema, default: problemResponse },
      },
    },
    async () => ({ ...monitor.wayIn(), site: monitor.settings().site.id }),
  )
  app.delete(
    '/nodes/:id',
    {
      config: { permission: 'manageNodes' },
      schema: {
        operationId: 'removeNode',
        summary: 'Remove the node, what was said of its sensors, and its secret; its readings stay',
        tags: ['nodes'],
        params: idSchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const { id } = request.params
      const isKnown = monitor.settings().nodes.some((n) => n.id === id)
      if (!isKnown && !hasSecret(id))
        return sendNotFound(reply, `id: there is no node ${id}; reload the list`)
      // The secret first: a node that was removed must not come in, whatever becomes of the rest.
      accounts.revokeCredential('node', id, nowMs())
      monitor.nodeSecretChanged(id)
      const outcome = await settingsChanges.make(actOf(request, monitor), (settings) => ({
        ...settings,
        nodes: settings.nodes.filter((n) => n.id !== id),
        sensors: settings.sensors.filter((s) => !s.id.startsWith(`${id}/`)),
      }))
      return sendSettingsOutcome(reply, outcome)
    },
  )
  app.delete(
    '/nodes/:id/secret',
    {
      config: { permission: 'manageNodes' },
      schema: {
        operationId: 'revokeNodeSecret',
        summary: 'Take the secret away: the node can no longer sign in',
        tags: ['nodes'],
        params: idSchema,
        response: { 204: noContent, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      if (!hasSecret(id)) return sendNotFound(reply, `id: ${id} has no secret that could be taken away`)
      accounts.revokeCredential('node', id, nowMs())
      monitor.nodeSecretChanged(id)
      return reply.code(204).send()
    },
  )
}

import { z } from 'zod'
import { TASK_STATES, taskSchema, type Task } from '../../core/model/task.ts'
import type { AccountStore } from '../../core/model/ports/accounts.ts'
import { actOf } from '../auth/guards.ts'
import { nameOfActor } from '../actor-name.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome } from '../problem.ts'
import type { Routes } from './routes.ts'

const taskViewSchema = taskSchema.extend({ signedOffBy: z.string().nullable() })
const idSchema = z.strictObject({ id: z.string().min(1).max(300) })
const MOST_TASKS = 500

/** What is to be done, and who did it. */
export const taskRoutes: Routes = async (app, { monitor, records, accounts }) => {
  app.get(
    '/tasks',
    {
      config: { permission: 'seeTasks' },
      schema: {
        operationId: 'listTasks',
        summary: `Tasks that are open or closed, newest first, at most ${MOST_TASKS}`,
        tags: ['tasks'],
        querystring: z.strictObject({ state: z.enum(['open', 'closed']).default('open') }),
        response: { 200: z.object({ tasks: z.array(taskViewSchema) }), default: problemResponse },
      },
    },
    async ({ query: { state } }) => {
      const states = TASK_STATES.filter((s) => (s === 'open') === (state === 'open'))
      return { tasks: records.tasks({ states, limit: MOST_TASKS }).map((task) => toTaskView(task, accounts)) }
    },
  )
  app.get(
    '/tasks/:id',
    {
      config: { permission: 'seeTasks' },
      schema: {
        operationId: 'readTask',
        summary: 'One task, with its steps',
        tags: ['tasks'],
        params: idSchema,
        response: { 200: taskViewSchema, default: problemResponse },
      },
    },
    async ({ params: { id } }, reply) => {
      const task = records.task(id)
      return task
        ? toTaskView(task, accounts)
        : sendNotFound(reply, `id: there is no task ${id}; reload the list`)
    },
  )
  app.post(
    '/tasks/:id/sign-off',
    {
      config: { permission: 'signOffTasks' },
      schema: {
        operationId: 'signOffTask',
        summary: 'Say that it is done',
        tags: ['tasks'],
        params: idSchema,
        body: z.strictObject({ note: z.string().max(500).default('') }).nullable(),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const taskId = request.params.id
      if (!records.task(taskId)) return sendNotFound(reply, `id: there is no task ${taskId}; reload the list`)
      const act = actOf(request, monitor)
      const note = request.body?.note ?? ''
      return sendOutcome(reply, await monitor.submit({ type: 'taskSignedOff', act, taskId, note }))
    },
  )
}

function toTaskView(task: Task, accounts: AccountStore): z.infer<typeof taskViewSchema> {
  return { ...task, signedOffBy: task.signedOff && nameOfActor(task.signedOff.actorId, accounts) }
}

import { z } from 'zod'
import { proofSchema, TASK_STATES, taskSchema, type Task } from '../../core/model/task.ts'
import type { AccountStore } from '../../core/model/ports/accounts.ts'
import { CSV_CONTENT_TYPE, toCsv, type CsvColumn } from '../../codecs/csv.ts'
import type { Monitor } from '../../core/model/ports/monitor.ts'
import { actOf } from '../auth/guards.ts'
import { nameOfActor } from '../actor-name.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome, textResponse } from '../problem.ts'
import type { Routes } from './routes.ts'

const taskViewSchema = taskSchema.extend({
  signedOffBy: z.string().nullable(),
  /** Who shall do it, by name; null for nobody, or for a name that was erased. */
  assignee: z.string().nullable(),
  /** Of an open task: what sensors say now of whether it is done. */
  proofNow: proofSchema.nullable(),
})
const idSchema = z.strictObject({ id: z.string().min(1).max(300) })
const MOST_TASKS = 500
const MOST_EXPORTED = 10_000
const utc = (atMs: number | null): string | null => (atMs === null ? null : new Date(atMs).toISOString())

const CSV_COLUMNS: readonly CsvColumn<z.infer<typeof taskViewSchema>>[] = [
  { heading: 'id', cell: (t) => t.id },
  { heading: 'title', cell: (t) => t.title },
  { heading: 'state', cell: (t) => t.state },
  { heading: 'asked_for_by', cell: (t) => t.origin },
  { heading: 'opened_at_utc', cell: (t) => utc(t.openedMs) },
  { heading: 'due_at_utc', cell: (t) => utc(t.dueMs) },
  { heading: 'closed_at_utc', cell: (t) => utc(t.closedMs) },
  { heading: 'assignee', cell: (t) => t.assignee },
  { heading: 'signed_off_by', cell: (t) => t.signedOffBy },
  { heading: 'note', cell: (t) => t.signedOff?.note ?? null },
  { heading: 'sensors_say', cell: (t) => t.proof.map((p) => `${p.verdict}: ${p.text}`).join(' ') },
  { heading: 'missed_before', cell: (t) => t.repeats },
]

/** What is to be done, and who did it. */
export const taskRoutes: Routes = async (app, { monitor, records, accounts }) => {
  const toView = (task: Task) => toTaskView(task, accounts, monitor)
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
      return { tasks: records.tasks({ states, limit: MOST_TASKS }).map(toView) }
    },
  )
  app.get(
    '/tasks.csv',
    {
      config: { permission: 'seeTasks' },
      schema: {
        operationId: 'exportTasks',
        summary: `Tasks as CSV (RFC 4180), the one that changed last first, at most ${MOST_EXPORTED}`,
        tags: ['tasks'],
        response: { 200: textResponse(CSV_CONTENT_TYPE, 'Tasks, a line each'), default: problemResponse },
      },
    },
    async (_, reply) => {
      const tasks = records.tasks({ states: TASK_STATES, limit: MOST_EXPORTED }).map(toView)
      return reply
        .type(CSV_CONTENT_TYPE)
        .header('content-disposition', 'attachment; filename="tasks.csv"')
        .send(toCsv(CSV_COLUMNS, tasks))
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
      return task ? toView(task) : sendNotFound(reply, `id: there is no task ${id}; reload the list`)
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

function toTaskView(
  kept: Task,
  accounts: AccountStore,
  { proofNow }: Pick<Monitor, 'proofNow'>,
): z.infer<typeof taskViewSchema> {
  // Tasks of earlier releases lack what came later.
  const task = taskSchema.parse(kept)
  return {
    ...task,
    signedOffBy: task.signedOff && nameOfActor(task.signedOff.actorId, accounts),
    assignee: task.assigneeId === null ? null : nameOfActor(task.assigneeId, accounts),
    proofNow: task.state === 'open' ? proofNow(task) : null,
  }
}

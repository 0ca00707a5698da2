import { z } from 'zod'
import { isReadyMade, routinesOf, subjectsOf } from '../../core/advise/routines/routines-of.ts'
import { checkOf, dryingStory, STORY_MS, SYMPTOM_ADVICE } from '../../core/advise/symptoms.ts'
import { titleOf } from '../../core/alarms/subject-title.ts'
import { nameSchema } from '../../core/model/name.ts'
import { routineSchema } from '../../core/model/routine.ts'
import { subjectSchema } from '../../core/model/subject.ts'
import { SYMPTOMS } from '../../core/model/symptom.ts'
import { actOf } from '../auth/guards.ts'
import { noContent, problemResponse, sendNotFound, sendOutcome, sendProblem } from '../problem.ts'
import type { Routes } from './routes.ts'

const idSchema = z.strictObject({ id: z.string().min(1).max(300) })
const tags = ['tasks']
const plan = { permission: 'planTasks' } as const
const see = { permission: 'seeTasks' } as const
const routineViewSchema = routineSchema.extend({
  isReadyMade: z.boolean(),
  subjects: z.array(z.object({ subject: subjectSchema, title: z.string() })),
})
const checkSchema = z.object({
  symptom: z.enum(SYMPTOMS),
  title: z.string(),
  reason: z.string(),
  check: z.string(),
  story: z.array(z.string()),
})

/** Who does what when: assigning and putting off, routines, and what somebody saw. */
export const taskPlanRoutes: Routes = async (app, { monitor, records, accounts }) => {
  app.get(
    '/task-people',
    {
      config: see,
      schema: {
        operationId: 'listTaskPeople',
        summary: 'Who can be given a task: a name and an id each',
        tags,
        response: {
          200: z.object({ people: z.array(z.object({ id: z.string(), name: z.string() })) }),
          default: problemResponse,
        },
      },
    },
    async () => ({
      people: accounts
        .people()
        .filter((p) => p.removedMs === null && p.role !== 'viewer')
        .map(({ id, name }) => ({ id, name })),
    }),
  )
  app.post(
    '/tasks/:id/assignment',
    {
      config: plan,
      schema: {
        operationId: 'assignTask',
        summary: 'Say who shall do it; null for nobody in particular',
        tags,
        params: idSchema,
        body: z.strictObject({ assigneeId: z.string().min(1).max(64).nullable() }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const taskId = request.params.id
      const { assigneeId } = request.body
      if (!records.task(taskId)) return sendNotFound(reply, `id: there is no task ${taskId}; reload the list`)
      const person = assigneeId === null ? null : accounts.person(assigneeId)
      if (assigneeId !== null && person?.removedMs !== null) {
        const detail = `assigneeId: there is no person ${assigneeId}; reload the list of people`
        return sendProblem(reply, { status: 422, title: 'A field is wrong', detail })
      }
      const act = actOf(request, monitor)
      return sendOutcome(reply, await monitor.submit({ type: 'taskAssigned', act, taskId, assigneeId }))
    },
  )
  app.post(
    '/tasks/:id/deferral',
    {
      config: plan,
      schema: {
        operationId: 'deferTask',
        summary: 'Put it off, with a reason; untilMs null takes it up again',
        tags,
        params: idSchema,
        body: z.strictObject({
          untilMs: z.int().nonnegative().nullable(),
          reason: z.string().max(300).default(''),
        }),
        response: { 204: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const taskId = request.params.id
      if (!records.task(taskId)) return sendNotFound(reply, `id: there is no task ${taskId}; reload the list`)
      const act = actOf(request, monitor)
      return sendOutcome(reply, await monitor.submit({ type: 'taskDeferred', act, taskId, ...request.body }))
    },
  )
  app.get(
    '/routines',
    {
      config: see,
      schema: {
        operationId: 'listRoutines',
        summary: 'Routines as they hold now, ready-made and own, also those that are switched off',
        tags,
        response: { 200: z.object({ routines: z.array(routineViewSchema) }), default: problemResponse },
      },
    },
    async () => {
      const settings = monitor.settings()
      const routines = routinesOf(settings).map((routine) => ({
        ...routine,
        isReadyMade: isReadyMade(routine.id),
        subjects: subjectsOf(routine, settings).map((subject) => ({
          subject,
          title: titleOf(subject, settings),
        })),
      }))
      return { routines }
    },
  )
  app.post(
    '/routines/:id/start',
    {
      config: plan,
      schema: {
        operationId: 'startRoutine',
        summary: 'Make the task of a routine now',
        tags,
        params: idSchema,
        body: z.strictObject({ subject: subjectSchema }),
        response: { 201: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { subject } = request.body
      const routineId = request.params.id
      const outcome = await monitor.submit({ type: 'routineStarted', act, routineId, subject })
      return sendOutcome(reply, outcome, 201)
    },
  )
  app.get(
    '/symptoms/:machineId',
    {
      config: see,
      schema: {
        operationId: 'listSymptoms',
        summary:
          'What can be seen at a machine, what to check because of it, and what the last days did to its ink',
        tags,
        params: z.strictObject({ machineId: nameSchema }),
        response: { 200: z.object({ symptoms: z.array(checkSchema) }), default: problemResponse },
      },
    },
    async ({ params: { machineId } }, reply) => {
      const settings = monitor.settings()
      const machine = settings.machines.find((m) => m.id === machineId)
      if (!machine)
        return sendNotFound(reply, `machineId: there is no machine ${machineId}; add it under Setup`)
      const nowMs = monitor.nowMs()
      const episodes = records.episodes({ fromMs: nowMs - STORY_MS, toMs: nowMs })
      const story = [...dryingStory({ machine, settings, episodes, nowMs })]
      const symptoms = SYMPTOMS.map((symptom) => ({
        symptom,
        title: SYMPTOM_ADVICE[symptom].title,
        reason: SYMPTOM_ADVICE[symptom].reason,
        check: checkOf(symptom, settings).title,
        story: symptom === 'missingNozzles' ? story : [],
      }))
      return { symptoms }
    },
  )
  app.post(
    '/symptoms',
    {
      config: plan,
      schema: {
        operationId: 'reportSymptom',
        summary: 'Make a task of what was seen',
        tags,
        body: z.strictObject({
          machineId: nameSchema,
          symptom: z.enum(SYMPTOMS),
          note: z.string().max(500).default(''),
        }),
        response: { 201: noContent, default: problemResponse },
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      return sendOutcome(reply, await monitor.submit({ type: 'symptomReported', act, ...request.body }), 201)
    },
  )
}

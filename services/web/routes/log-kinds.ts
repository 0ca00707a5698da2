import { z } from 'zod'
import {
  careFields,
  headChangeFields,
  noteFields,
  nozzleCheckFields,
  type HeadChange,
  type JudgedCare,
  type LogNote,
  type NozzleCheck,
} from '../../core/model/log-entry.ts'
import { actOf } from '../auth/guards.ts'
import { createId } from '../auth/secrets.ts'
import { noContent, problemResponse, sendOutcome } from '../problem.ts'
import { logEntryRoutes, type LogRoutes } from './log-entry-routes.ts'
import type { Routes } from './routes.ts'

const tags = ['logbook']
const response = { 201: noContent, default: problemResponse }

const checkSchema = z.strictObject(nozzleCheckFields)
const checks: LogRoutes<NozzleCheck, z.infer<typeof checkSchema>> = {
  kind: 'nozzleCheck',
  path: 'nozzle-checks',
  operation: 'NozzleCheck',
  noun: 'nozzle check',
  write: 'logNozzleChecks',
  body: checkSchema,
  toEntry: (checkId, said, isVoid) => ({ kind: 'nozzleCheck', checkId, ...said, void: isVoid }),
  read: (records, window) => records.nozzleChecks(window),
}

const careSchema = z.strictObject(careFields)
const cleanings: LogRoutes<JudgedCare, z.infer<typeof careSchema>> = {
  kind: 'care',
  path: 'cleanings',
  operation: 'Cleaning',
  noun: 'cleaning',
  write: 'writeLogbook',
  body: careSchema,
  toEntry: (careId, said, isVoid) => ({ kind: 'care', careId, ...said, void: isVoid }),
  read: (records, window) => records.careEntries(window),
}

const noteSchema = z.strictObject(noteFields)
const notes: LogRoutes<LogNote, z.infer<typeof noteSchema>> = {
  kind: 'note',
  path: 'log-notes',
  operation: 'LogNote',
  noun: 'note',
  write: 'writeLogbook',
  body: noteSchema,
  toEntry: (noteId, said, isVoid) => ({ kind: 'note', noteId, ...said, void: isVoid }),
  read: (records, window) => records.notes(window),
}

const headSchema = z.strictObject(headChangeFields)
const headChanges: LogRoutes<HeadChange, z.infer<typeof headSchema>> = {
  kind: 'headChange',
  path: 'head-changes',
  operation: 'HeadChange',
  noun: 'head change',
  write: 'writeLogbook',
  body: headSchema,
  toEntry: (changeId, said, isVoid) => ({ kind: 'headChange', changeId, ...said, void: isVoid }),
  read: (records, window) => records.headChanges(window),
}

/** What is read, corrected and exported the same way, whatever its kind. */
export const LOG_ENTRY_ROUTES: readonly Routes[] = [
  logEntryRoutes(checks),
  logEntryRoutes(cleanings),
  logEntryRoutes(notes),
  logEntryRoutes(headChanges),
]

/** Told of now when no time is given: a cleaning and a new head then change the dose as well. */
const newCheckSchema = z.strictObject({
  ...nozzleCheckFields,
  checkedMs: nozzleCheckFields.checkedMs.optional(),
})
const newCareSchema = z.strictObject({ ...careFields, doneMs: careFields.doneMs.optional() })
const newHeadSchema = z.strictObject({
  ...headChangeFields,
  changedMs: headChangeFields.changedMs.optional(),
})
const newNoteSchema = z.strictObject({ ...noteFields, atMs: noteFields.atMs.optional() })

/** What is new in the logbook. */
export const newEntryRoutes: Routes = async (app, { monitor }) => {
  app.post(
    '/nozzle-checks',
    {
      config: { permission: 'logNozzleChecks' },
      schema: {
        operationId: 'logNozzleCheck',
        summary:
          'Log a nozzle check: what was missing, and why it was made; a channel group that is not named was clear',
        tags,
        body: newCheckSchema,
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { checkedMs = act.atMs, ...said } = request.body
      const check = { ...said, checkedMs, checkId: createId('check') }
      return sendOutcome(reply, await monitor.submit({ type: 'nozzleCheckLogged', act, ...check }), 201)
    },
  )
  app.post(
    '/cleanings',
    {
      config: { permission: 'writeLogbook' },
      schema: {
        operationId: 'logCleaning',
        summary:
          'Log a cleaning. Without a time it was just now, and its ink counts as wetted; of the past it changes no dose',
        tags,
        body: newCareSchema,
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { doneMs, ...said } = request.body
      const careId = createId('care')
      if (doneMs === undefined)
        return sendOutcome(reply, await monitor.submit({ type: 'careLogged', act, careId, ...said }), 201)
      const entries = [{ kind: 'care' as const, careId, doneMs, ...said, void: false }]
      return sendOutcome(reply, await monitor.submit({ type: 'logEntriesNoted', act, entries }), 201)
    },
  )
  app.post(
    '/log-notes',
    {
      config: { permission: 'writeLogbook' },
      schema: {
        operationId: 'writeLogNote',
        summary: 'Write a note on the shop, a room, a machine or a bottle',
        tags,
        body: newNoteSchema,
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { atMs = act.atMs, ...said } = request.body
      const entries = [{ kind: 'note' as const, noteId: createId('note'), atMs, ...said, void: false }]
      return sendOutcome(reply, await monitor.submit({ type: 'logEntriesNoted', act, entries }), 201)
    },
  )
  app.post(
    '/head-changes',
    {
      config: { permission: 'writeLogbook' },
      schema: {
        operationId: 'logHeadChange',
        summary: 'Log a new head. Said within 30 minutes, its ink counts as fresh',
        tags,
        body: newHeadSchema,
        response,
      },
    },
    async (request, reply) => {
      const act = actOf(request, monitor)
      const { changedMs = act.atMs, ...said } = request.body
      const change = { ...said, changedMs, changeId: createId('head') }
      return sendOutcome(reply, await monitor.submit({ type: 'headChanged', act, ...change }), 201)
    },
  )
}

import type { FastifyReply } from 'fastify'
import { toSentence, type FieldError } from '../codecs/problem-details.ts'
import { sendOutcome, sendProblem } from './problem.ts'
import type { SettingsChangeOutcome } from './settings-changes.ts'

/** 204 for settings that were taken; 422 with each wrong field otherwise. */
export function sendSettingsOutcome(reply: FastifyReply, outcome: SettingsChangeOutcome): FastifyReply {
  if (!outcome.ok && outcome.code === 'fields') return sendFieldErrors(reply, outcome.errors)
  return sendOutcome(reply, outcome)
}

export function sendFieldErrors(reply: FastifyReply, errors: readonly FieldError[]): FastifyReply {
  const title = 'The settings cannot be used; nothing was changed'
  return sendProblem(reply, { status: 422, title, detail: toSentence(errors), errors })
}

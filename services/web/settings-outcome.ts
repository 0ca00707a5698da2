import type { FastifyReply } from 'fastify'
import { toSentence, type FieldError } from '../codecs/problem-details.ts'
import { sendOutcome, sendProblem } from './problem.ts'
import type { SettingsChangeOutcome } from './settings-changes.ts'

/** 204 for settings that were taken; 422 with each wrong field, 412 where somebody else was first. */
export function sendSettingsOutcome(reply: FastifyReply, outcome: SettingsChangeOutcome): FastifyReply {
  if (!outcome.ok && outcome.code === 'fields') return sendFieldErrors(reply, outcome.errors)
  if (!outcome.ok && outcome.code === 'overtaken') return sendOvertaken(reply)
  return sendOutcome(reply, outcome)
}

export function sendFieldErrors(reply: FastifyReply, errors: readonly FieldError[]): FastifyReply {
  const title = 'The settings cannot be used; nothing was changed'
  return sendProblem(reply, { status: 422, title, detail: toSentence(errors), errors })
}

/** RFC 9110 section 15.5.13. */
export function sendOvertaken(reply: FastifyReply): FastifyReply {
  const title = 'Someone else changed the settings meanwhile; nothing of yours was saved'
  const detail = 'look at what they changed, then make your change again'
  return sendProblem(reply, { status: 412, title, detail })
}

import { z } from 'zod'
import { nameSchema } from './name.ts'

/** When a contact is told of what cannot wait: at any hour, while the shop is open, or while it is closed. */
export const CONTACT_TIMES = ['always', 'openHours', 'closedHours'] as const

/**
 * Somebody who is told. The order in which contacts stand is the order in which they are asked: the next is told when
 * the one before does not answer.
 */
export const contactSchema = z.strictObject({
  id: nameSchema,
  title: z.string().trim().min(1, { error: 'give a name of 1 to 80 characters' }).max(80),
  /** The person who signs in, if any: their devices take notices, and answers by link count as theirs. */
  personId: z.string().min(1).max(64).optional(),
  times: z.enum(CONTACT_TIMES).default('always'),
  /** Gets the morning report at opening. */
  morningReport: z.boolean().default(true),
  /** Gets the reminder when the shop has closed and nobody went through the closing list. */
  closingReminder: z.boolean().default(true),
  /** To the devices on which this person allowed notices. */
  push: z.boolean().default(true),
  mail: z.email({ error: 'write a mail address, such as night@example.org' }).max(200).optional(),
  /** Where a CloudEvent is posted. Its signing secret is made by Nightcap and never stands in the settings. */
  webhookUrl: z.url({ protocol: /^https?$/, error: 'write an address that begins with https://' }).optional(),
})
export type Contact = z.infer<typeof contactSchema>

const minutes = (n: number) => n * 60_000
const waitSchema = z
  .int()
  .min(minutes(1), { error: 'wait at least a minute (60000)' })
  .max(minutes(24 * 60))

/** How long one waits for an answer. All starting values, the owner's to change. */
export const tellingSchema = z.strictObject({
  /** The same contact is asked again after this long without an answer. */
  remindAfterMs: waitSchema.default(minutes(5)),
  /** The next contact is asked after this long without an answer. */
  escalateAfterMs: waitSchema.default(minutes(10)),
  /** How often one contact is reminded. */
  reminders: z.int().min(0).max(20).default(2),
  /** After closing the shop is given this long to go through the closing list. */
  closingReminderAfterMs: waitSchema.default(minutes(30)),
  /** May a webhook go to an address within the shop's own network? */
  allowPrivateWebhooks: z.boolean().default(false),
})
export type Telling = z.infer<typeof tellingSchema>

/** A snooze is at most this long and never stops the next contact from being asked. */
export const LONGEST_SNOOZE_MS = minutes(60)
/** A link to answer by holds at most this long. */
export const LONGEST_REPLY_LINK_MS = minutes(24 * 60)

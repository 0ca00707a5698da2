import { z } from 'zod'
import { nameSchema } from './name.ts'

/**
 * Why somebody is told: an alarm that cannot wait; the same again; the next contact asked; it is over; a trouble that
 * turned out otherwise; the morning report; the closing list; and a test.
 */
export const NOTICE_KINDS = [
  'alarm',
  'reminder',
  'escalation',
  'over',
  'morningReport',
  'closingReminder',
  'test',
] as const
export type NoticeKind = (typeof NOTICE_KINDS)[number]

/** How hard it knocks, in the words of RFC 8030, section 5.3. */
export const NOTICE_URGENCIES = ['low', 'normal', 'high'] as const

/**
 * One message to one contact, in plain words. The kernel decides it; which of the contact's channels it leaves by is
 * looked up when it leaves.
 */
export const noticeSchema = z.strictObject({
  /** The same notice twice has the same key: whoever gets it may drop the second. */
  key: z.string().min(1).max(200),
  contactId: nameSchema,
  kind: z.enum(NOTICE_KINDS),
  alarmId: z.string().nullable(),
  urgency: z.enum(NOTICE_URGENCIES),
  /** A line of at most about 60 characters that can stand alone on a locked screen. */
  title: z.string().min(1).max(200),
  /** A few sentences; lines are parted by \n. */
  body: z.string().max(4000),
  /** A newer notice to the same contact replaces an undelivered older one of the same topic. */
  topic: z.string().min(1).max(200),
  /** Does it ask for "I'm on it" or "Snooze"? */
  asksForReply: z.boolean(),
  /** The page that tells more, as it stands in the address after `#`, such as `/morning`. */
  page: z.string().max(200),
  /** After this it is no longer worth sending by itself. */
  expiresMs: z.int(),
})
export type Notice = z.infer<typeof noticeSchema>

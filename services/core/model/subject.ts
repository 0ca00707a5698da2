import { z } from 'zod'
import { nameSchema } from './name.ts'

/** What a condition, an alarm or a task is about. A channel group stands below its head, a head below its machine. */
export const SUBJECT_KINDS = [
  'site',
  'room',
  'machine',
  'head',
  'channelGroup',
  'bottle',
  'node',
  'sensor',
] as const
export type SubjectKind = (typeof SUBJECT_KINDS)[number]

/** A sensor's id: its node or device, a slash, its own name: `press-room/humidity`. */
export const sensorIdSchema = z
  .string()
  .max(130)
  .regex(/^[A-Za-z0-9][A-Za-z0-9._-]*\/[A-Za-z0-9][A-Za-z0-9._-]*$/, {
    error: 'a sensor id is its node, a slash and its own name, such as press-room/humidity',
  })

export const subjectSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('site'), id: nameSchema }),
  z.strictObject({ kind: z.literal('room'), id: nameSchema }),
  z.strictObject({ kind: z.literal('machine'), id: nameSchema }),
  z.strictObject({ kind: z.literal('head'), id: nameSchema }),
  z.strictObject({ kind: z.literal('channelGroup'), id: nameSchema }),
  z.strictObject({ kind: z.literal('bottle'), id: nameSchema }),
  z.strictObject({ kind: z.literal('node'), id: nameSchema }),
  z.strictObject({ kind: z.literal('sensor'), id: sensorIdSchema }),
])
export type Subject = z.infer<typeof subjectSchema>

/** One text for a subject, used as key and as sort order: `room:floor`. */
export function subjectKey(subject: Subject): string {
  return `${subject.kind}:${subject.id}`
}

/** The subject a key stands for. @throws {RangeError} on a text that `subjectKey` did not make. */
export function subjectOfKey(key: string): Subject {
  const at = key.indexOf(':')
  const parsed = subjectSchema.safeParse({ kind: key.slice(0, at), id: key.slice(at + 1) })
  if (!parsed.success) throw new RangeError(`no subject has the key ${JSON.stringify(key)}`)
  return parsed.data
}

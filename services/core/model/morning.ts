import { z } from 'zod'

/** A sentence of the report, and when what it tells began. */
const lineSchema = z.strictObject({ atMs: z.int(), text: z.string() })
export type MorningLine = z.infer<typeof lineSchema>

/** What the last closed period was, told to a person. Numbers stand in its sentences. */
export const morningViewSchema = z.strictObject({
  nowMs: z.int(),
  timeZone: z.string(),
  /** The closed period; `date` is the shop's day on which it began. `toMs` is now while it lasts. */
  night: z.strictObject({ date: z.iso.date(), fromMs: z.int(), toMs: z.int() }),
  /** Days on which earlier periods began, the newest first. */
  earlier: z.array(z.iso.date()),
  /** The night in one sentence. */
  sentence: z.string(),
  /** What happened, in order of time. */
  lines: z.array(lineSchema),
  /** What nobody can say of it: the monitor dark, sensors silent. */
  unknown: z.array(lineSchema),
  /** Air, inks, cleanings and bottles. */
  measured: z.array(z.string()),
  /** What waits now: tasks, and what is over that nobody has said they saw. */
  tasks: z.array(z.strictObject({ id: z.string(), title: z.string() })),
  unseen: z.array(z.strictObject({ id: z.string(), title: z.string() })),
  /** For the nozzle check. */
  machines: z.array(
    z.strictObject({
      id: z.string(),
      title: z.string(),
      groups: z.array(z.strictObject({ id: z.string(), title: z.string() })),
    }),
  ),
})
export type MorningView = z.infer<typeof morningViewSchema>

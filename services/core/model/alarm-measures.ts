import { z } from 'zod'

/** One measure of the alarm system beside its target. */
export const measureSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  value: z.string(),
  target: z.string(),
  /** null: nothing to judge, or too little yet. */
  kept: z.boolean().nullable(),
})
export type Measure = z.infer<typeof measureSchema>

export const alarmMeasuresSchema = z.strictObject({
  fromMs: z.int(),
  toMs: z.int(),
  days: z.number(),
  /** How often an alarm asked for somebody. */
  asked: z.int(),
  isCalm: z.boolean(),
  /** "Calm: 12 alarms in 30 days, at most 2 within ten minutes." */
  sentence: z.string(),
  measures: z.array(measureSchema),
  mostFrequent: z.array(z.strictObject({ title: z.string(), times: z.int(), sharePct: z.int() })),
})
export type AlarmMeasures = z.infer<typeof alarmMeasuresSchema>

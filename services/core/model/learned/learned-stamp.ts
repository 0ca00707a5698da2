import { z } from 'zod'
import { nameSchema } from '../name.ts'

/** Of whom it was learned, from which stretch of the past, and by which version of the method. */
export const learnedStamp = {
  subjectId: nameSchema,
  fromMs: z.int(),
  toMs: z.int(),
  version: z.string().min(1).max(40),
}

import { z } from 'zod'
import { cleaningIntervalSchema, cleaningWasteSchema } from './learned/cleanings.ts'
import { fillProfileSchema } from './learned/fill-profile.ts'
import { powerBandsSchema } from './learned/power-bands.ts'
import { roomNightsSchema } from './learned/room-nights.ts'

/**
 * What the shop's own past teaches. Computed nightly outside the kernel, put on the log as an input with its values,
 * its window and the version of what computed it; the kernel uses only what it was told.
 */
export const learnedSchema = z.discriminatedUnion('kind', [
  powerBandsSchema,
  cleaningIntervalSchema,
  cleaningWasteSchema,
  fillProfileSchema,
  roomNightsSchema,
])
export type Learned = z.infer<typeof learnedSchema>
export type LearnedKind = Learned['kind']
export type LearnedOf<K extends LearnedKind> = Extract<Learned, { kind: K }>

/** One text for what is learned of what: `powerBands|roll-left`. The newest of a key is in force. */
export function learnedKey({ kind, subjectId }: Pick<Learned, 'kind' | 'subjectId'>): string {
  return `${kind}|${subjectId}`
}

/** What is in force, by `learnedKey`. */
export type LearnedValues = ReadonlyMap<string, Learned>

export function learnedOf<K extends LearnedKind>(
  values: LearnedValues,
  kind: K,
  subjectId: string,
): LearnedOf<K> | undefined {
  return values.get(learnedKey({ kind, subjectId })) as LearnedOf<K> | undefined
}

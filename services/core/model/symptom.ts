/** What a person sees at a machine or on its film. */
export const SYMPTOMS = [
  'marksOnFilm',
  'startsInWrongPlace',
  'carriageRough',
  'whiteBuildUp',
  'missingNozzles',
] as const
export type Symptom = (typeof SYMPTOMS)[number]

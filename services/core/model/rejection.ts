import { z } from 'zod'

/** Why something that came over MQTT could not be used. Each names what is wrong; the text beside it names the cure. */
export const REJECTION_CODES = [
  'topicUnknown',
  'payloadTooLarge',
  'notJson',
  'notSenml',
  'recordNameWrong',
  'unitWrong',
  'valueWrong',
  'clockAhead',
  'clockBehind',
  'retainedReading',
  'pointerMissing',
  'otherSite',
  'nodeUnknown',
] as const
export const rejectionCodeSchema = z.enum(REJECTION_CODES)
export type RejectionCode = z.infer<typeof rejectionCodeSchema>

export interface Rejection {
  readonly topic: string
  readonly code: RejectionCode
  /** What is wrong, in which field, and the cure. Holds nothing of the payload beyond the offending value, cut short. */
  readonly reason: string
  /** At most 1 kB of what came, as text. */
  readonly sample: string
  /** With `clockAhead`: how far the reading lay in the future. */
  readonly aheadMs?: number
}

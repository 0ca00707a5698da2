import type { Channel } from './notify.ts'

/** A browser in which somebody allowed notices. */
export interface Device {
  readonly id: string
  readonly personId: string
  readonly title: string
  readonly endpoint: string
  readonly p256dh: string
  readonly auth: string
  readonly createdMs: number
  /** When a push service last took something for it, or null. */
  readonly lastOkMs: number | null
}

/**
 * `waiting` to be sent; `taken` by the channel; `dead`: refused for good; `late`: given up because its time was over;
 * `replaced` by a newer notice.
 */
export const DELIVERY_STATES = ['waiting', 'taken', 'dead', 'late', 'replaced'] as const
export type DeliveryState = (typeof DELIVERY_STATES)[number]

/** One notice on its way by one channel to one target. */
export interface Delivery {
  readonly id: number
  readonly noticeKey: string
  readonly contactId: string
  readonly channel: Channel
  /** A device's id; for mail and webhook the contact's id. */
  readonly targetId: string
  readonly state: DeliveryState
  /** Tries that failed. */
  readonly attempts: number
  /** Not to be tried before. */
  readonly nextMs: number
  /** Set while it is part of a summary that is being sent: the summary's key. */
  readonly summaryKey: string | null
}
export type NewDelivery = Pick<Delivery, 'noticeKey' | 'contactId' | 'channel' | 'targetId' | 'nextMs'>

/** One try, for people to read. The target is masked. */
export interface DeliveryAttempt {
  readonly atMs: number
  readonly noticeKey: string
  readonly contactId: string
  readonly channel: Channel
  readonly target: string
  readonly outcome: 'taken' | 'dead' | 'later' | 'late'
  readonly reason: string
}

/** What a link to answer by may do: answer for one contact, on one alarm. */
export interface ReplyLink {
  readonly tokenHash: string
  readonly contactId: string
  readonly alarmId: string | null
  readonly noticeKey: string
  readonly expiresMs: number
}

/** Where notices are on their way, and what is needed to send them. In the same file as the book of record. */
export interface NoticeStore {
  devices: () => readonly Device[]
  /** NS-1: the same endpoint again is the same device: it keeps its id and belongs to whoever registered it last. */
  putDevice: (device: Omit<Device, 'lastOkMs'>) => void
  /** NS-2: gives whether it was there. */
  removeDevice: (id: string) => boolean
  noteDeviceOk: (id: string, atMs: number) => void
  /** NS-3: deliveries of one notice, channel and target are one; a second is ignored. */
  addDelivery: (delivery: NewDelivery) => void
  /** NS-4: deliveries of these notices, in the order in which they were added. */
  deliveriesOf: (noticeKeys: readonly string[]) => readonly Delivery[]
  /** NS-5: all that wait, oldest first. */
  waitingDeliveries: () => readonly Delivery[]
  setDelivery: (change: Pick<Delivery, 'id' | 'state' | 'attempts' | 'nextMs' | 'summaryKey'>) => void
  /** NS-6: kept for people, newest first, at most `limit`. */
  logAttempt: (attempt: DeliveryAttempt) => void
  attempts: (limit: number) => readonly DeliveryAttempt[]
  /** Forgets tries made, and links that ended, before this time. */
  pruneBefore: (atMs: number) => void
  /** NS-7: a link is known by the SHA-256 of its token; the same again is the same link. */
  putReplyLink: (link: ReplyLink) => void
  replyLink: (tokenHash: string) => ReplyLink | null
  /** NS-8: sealed text by name; the same name again replaces it. */
  sealedSecret: (name: string) => string | null
  putSealedSecret: (name: string, sealed: string) => void
  sealedNames: () => readonly string[]
}

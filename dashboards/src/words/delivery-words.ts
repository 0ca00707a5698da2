import type { DeliveryAttempt } from '../../../services/core/model/ports/notice-store.ts'
import { nearTime, type ShopNow } from './shop-time.ts'

type Channel = DeliveryAttempt['channel']

const WAY_WORDS: Readonly<Record<Channel, string>> = {
  push: 'as a notice',
  mail: 'by mail',
  webhook: 'by webhook',
}
/** Taken is not read: it says who took it, and no more. */
const TAKEN_WORDS: Readonly<Record<Channel, string>> = {
  push: 'The push service took it.',
  mail: 'The mail server took it.',
  webhook: 'It was taken there.',
}

export interface DeliveryLine {
  /** When, to whom, by which way, and where to. */
  readonly what: string
  readonly cameOfIt: string
}

/** One try to reach somebody, in words. */
export function deliveryLine(
  { atMs, contactId, channel, target, outcome, reason }: DeliveryAttempt,
  now: ShopNow & { readonly titleOf: (contactId: string) => string | undefined },
): DeliveryLine {
  const who = now.titleOf(contactId) ?? `${contactId}, who is no longer told`
  const where = target === '' ? '' : ` to ${target}`
  return {
    what: `${nearTime(atMs, now)}, ${who}, ${WAY_WORDS[channel]}${where}`,
    cameOfIt: outcomeWords({ channel, outcome, reason }),
  }
}

/**
 * Does this try need a person? It was lost for good, and nothing has reached this contact by this way since. `list` is
 * newest first.
 */
export function needsSomebody(list: readonly DeliveryAttempt[], at: number): boolean {
  const one = list[at]
  if (!one || (one.outcome !== 'dead' && one.outcome !== 'late')) return false
  return !list
    .slice(0, at)
    .some((a) => a.outcome === 'taken' && a.contactId === one.contactId && a.channel === one.channel)
}

function outcomeWords({
  channel,
  outcome,
  reason,
}: Pick<DeliveryAttempt, 'channel' | 'outcome' | 'reason'>): string {
  switch (outcome) {
    case 'taken':
      return TAKEN_WORDS[channel]
    case 'later':
      return sentence('Not taken, and tried again by itself', reason)
    case 'dead':
      return sentence('Not taken, and not tried again', reason)
    case 'late':
      return sentence('Given up', reason)
  }
}

function sentence(text: string, reason: string): string {
  if (reason === '') return `${text}.`
  return `${text}: ${reason}${/[.!?]$/.test(reason) ? '' : '.'}`
}

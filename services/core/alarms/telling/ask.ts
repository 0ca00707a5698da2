import type { Contact, Telling } from '../../model/contact.ts'
import { isAvailable } from './who-is-asked.ts'
import type { Asked, Asking } from './telling-state.ts'

/** Who is told now, and as what. */
export interface Tell {
  readonly contactId: string
  readonly kind: 'alarm' | 'reminder' | 'escalation'
}

/** What a decision is made of. */
export interface AskingWorld {
  readonly nowMs: number
  readonly shopOpen: boolean
  /** When the shop next opens or closes; null with no hours. */
  readonly changeMs: number | null
  /** In the order in which they are asked. */
  readonly contacts: readonly Contact[]
  readonly telling: Telling
  /** When the reply path of a contact was proven; null: it is not. */
  readonly provenMs: (contactId: string) => number | null
}

/**
 * How one cause is asked about, one contact after the other.
 *
 * ASK-1 the first contact that is available is told at once. Where none is, the next opening or closing is awaited.
 * ASK-2 a contact that was asked is reminded after `remindAfterMs`, at most `reminders` times a round, while available.
 * ASK-3 the next contact is asked `escalateAfterMs` after the last one was, and after its reply path was proven: before
 *       that silence means nothing. Where it is not proven, there is one message, one repeat, and nobody else.
 * ASK-4 when all were asked, it begins at the first again, once. A single contact is not asked a second time: it has
 *       its reminders.
 * ASK-5 a snooze holds the reminders of that contact until it ends, and then asks for one. Whether the next contact is
 *       asked does not depend on it.
 * ASK-6 what is due is counted from the last word that was really queued, so nothing bursts after a gap.
 *
 * Gives who is told now and notes it, or null; called again until it gives null.
 */
export function takeTell(asking: Asking, world: AskingWorld): Tell | null {
  if (asking.stopped) return null
  const { nowMs } = world
  if (asking.asked.length === 0) {
    const first = nextContact(asking, world)
    return first ? ask(asking, first, { kind: 'alarm', nowMs }) : null
  }
  if (escalationMs(asking, world) <= nowMs) {
    const next = nextContact(asking, world) ?? beginAgain(asking, world)
    if (next) return ask(asking, next, { kind: 'escalation', nowMs })
    asking.allAsked = true
  }
  const late = asking.asked.find((a) => reminderMs(a, world) <= nowMs)
  return late ? remind(late, nowMs) : null
}

/** When the next word about it is due, or Infinity. */
export function askingDueMs(asking: Asking, world: AskingWorld): number {
  if (asking.stopped) return Infinity
  if (asking.asked.length === 0) {
    return nextContact(asking, world) ? world.nowMs : (world.changeMs ?? Infinity)
  }
  return Math.min(escalationMs(asking, world), ...asking.asked.map((a) => reminderMs(a, world)))
}

function escalationMs({ allAsked, asked }: Asking, { telling, provenMs }: AskingWorld): number {
  const last = asked.at(-1)
  const proven = last ? provenMs(last.contactId) : null
  if (allAsked || !last || proven === null) return Infinity
  return Math.max(last.firstMs, proven) + telling.escalateAfterMs
}

function reminderMs(asked: Asked, { telling, contacts, shopOpen, provenMs }: AskingWorld): number {
  const contact = contacts.find((c) => c.id === asked.contactId)
  if (!contact || !isAvailable(contact, shopOpen)) return Infinity
  if (asked.snoozedUntilMs !== null) return asked.snoozedUntilMs
  const most = provenMs(asked.contactId) === null ? Math.min(1, telling.reminders) : telling.reminders
  return asked.reminders < most ? asked.lastMs + telling.remindAfterMs : Infinity
}

function nextContact({ asked }: Asking, { contacts, shopOpen }: AskingWorld): Contact | undefined {
  return contacts.find((c) => isAvailable(c, shopOpen) && !asked.some((a) => a.contactId === c.id))
}

function beginAgain(asking: Asking, world: AskingWorld): Contact | undefined {
  if (!goesRoundAgain(asking)) return undefined
  asking.secondRound = true
  asking.asked = []
  return nextContact(asking, world)
}

function ask(
  asking: Asking,
  { id: contactId }: Contact,
  { kind, nowMs }: { kind: Tell['kind']; nowMs: number },
): Tell {
  asking.asked.push({ contactId, firstMs: nowMs, lastMs: nowMs, reminders: 0, snoozedUntilMs: null })
  return { contactId, kind }
}

function remind(asked: Asked, nowMs: number): Tell {
  // A reminder that was asked for does not use up those that were not.
  if (asked.snoozedUntilMs === null) asked.reminders++
  asked.snoozedUntilMs = null
  asked.lastMs = nowMs
  return { contactId: asked.contactId, kind: 'reminder' }
}

/** "Later": this contact is not reminded before `untilMs`. */
export function snooze({ asked }: Asking, contactId: string, untilMs: number): void {
  const who = asked.find((a) => a.contactId === contactId)
  if (who) who.snoozedUntilMs = untilMs
}

/** Who is asked after the one that was asked last, and when, if nobody answers; null: nobody. */
export function nextAsked(asking: Asking, world: AskingWorld): NextAsked | null {
  const atMs = escalationMs(asking, world)
  if (atMs === Infinity) return null
  const contact = nextContact(asking, world)
  if (contact) return { contact, atMs, again: asking.secondRound }
  const [first] = world.contacts.filter((c) => isAvailable(c, world.shopOpen))
  return first && goesRoundAgain(asking) ? { contact: first, atMs, again: true } : null
}

export interface NextAsked {
  readonly contact: Contact
  readonly atMs: number
  /** Were they asked before? */
  readonly again: boolean
}

function goesRoundAgain({ secondRound, asked }: Asking): boolean {
  return !secondRound && asked.length > 1
}

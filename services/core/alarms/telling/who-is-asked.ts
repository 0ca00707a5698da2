import type { Contact } from '../../model/contact.ts'
import type { Proof } from './telling-state.ts'

/** A proof of the way home holds this long: phones, addresses and proxies change. Starting value. */
export const PROOF_HOLDS_MS = 90 * 24 * 3_600_000

/**
 * Who can be told, and of whom silence means anything.
 *
 * WHO-1 a contact is asked only at the times that the owner chose, by whether the shop is open at that moment.
 * WHO-2 a contact that no way leads to (no person with devices, no mail, no webhook) is passed over as if absent.
 * WHO-3 a reply path is proven for 90 days, and only as long as the contact is told by the same ways.
 */
export function isAvailable(contact: Contact, shopOpen: boolean): boolean {
  if (!hasWay(contact)) return false
  return contact.times === 'always' || contact.times === (shopOpen ? 'openHours' : 'closedHours')
}

/** Does any way lead to this contact? Devices belong to the person who signs in on them. */
export function hasWay({ push, personId, mail, webhookUrl }: Contact): boolean {
  return (push && personId !== undefined) || mail !== undefined || webhookUrl !== undefined
}

/** By which ways a contact is told, as one text: another text, another proof. */
export function waysOf({ push, personId, mail, webhookUrl }: Contact): string {
  return JSON.stringify([push, personId ?? null, mail ?? null, webhookUrl ?? null])
}

/** When the reply path of this contact was proven, or null where that was never, too long ago, or by other ways. */
export function provenMsOf(contact: Contact, proof: Proof | undefined, nowMs: number): number | null {
  if (proof?.ways !== waysOf(contact)) return null
  return nowMs - proof.provenMs < PROOF_HOLDS_MS ? proof.provenMs : null
}

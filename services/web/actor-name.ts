import type { AccountStore } from '../core/model/ports/accounts.ts'

/** The name behind an actor's id: a person's or a program's; null once it was erased, or for the monitor itself. */
export function nameOfActor(
  actorId: string,
  accounts: Pick<AccountStore, 'person' | 'credential'>,
): string | null {
  const person = accounts.person(actorId)
  if (person) return person.removedMs === null ? person.name : null
  return accounts.credential('program', actorId)?.title ?? null
}

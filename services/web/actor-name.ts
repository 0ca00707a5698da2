import type { AccountStore } from '../core/model/ports/accounts.ts'

/** As `nameOfActor`, each looked up once: for a list. */
export function createNames(
  accounts: Pick<AccountStore, 'person' | 'credential'>,
): (actorId: string) => string | null {
  const names = new Map<string, string | null>()
  return (actorId) => {
    const known = names.get(actorId)
    if (known !== undefined) return known
    const name = nameOfActor(actorId, accounts)
    names.set(actorId, name)
    return name
  }
}

/** The name behind an actor's id: a person's or a program's; null once it was erased, or for the monitor itself. */
export function nameOfActor(
  actorId: string,
  accounts: Pick<AccountStore, 'person' | 'credential'>,
): string | null {
  const person = accounts.person(actorId)
  if (person) return person.removedMs === null ? person.name : null
  return accounts.credential('program', actorId)?.title ?? null
}

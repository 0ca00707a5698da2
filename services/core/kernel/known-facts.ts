import type { KnownFacts } from '../advise/tasks/proof.ts'
import type { BottleFacts } from '../track/bottle-facts.ts'
import type { MachineFacts } from '../track/machine.ts'
import type { AirFacts } from '../track/room.ts'
import type { SubjectContext } from '../track/tracker.ts'
import type { KernelState } from './state.ts'

/** What the kernel knows of its subjects, each by its kind: stage one keeps the facts of a kind under its key. */
export function factsOf({
  settings,
  subjects,
  plan,
}: Pick<KernelState, 'settings' | 'subjects' | 'plan'>): KnownFacts {
  const known = <Facts>(key: string): { facts: Facts; context: SubjectContext } | undefined => {
    const facts = subjects.get(key)?.facts
    const context = plan.contexts.get(key)
    return facts && context && { facts: facts as Facts, context }
  }
  return {
    settings,
    machine: (id) => known<MachineFacts>(`machine:${id}`)?.facts,
    room: (id) => known<AirFacts>(`room:${id}`),
    bottle: (id) => known<BottleFacts>(`bottle:${id}`),
  }
}

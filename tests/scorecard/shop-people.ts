import type { Incident } from '../../sensors/simulator/incident.ts'
import type { ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import type { OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import type { Said } from './machine-truth.ts'

/** Every other cleaning that ends while the shop is open is logged, so many of each machine, once its meter is known. */
const LOGGED = 14
const LOGS_FROM_MS = 5 * 86_400_000
const SAYS_AFTER_MS = 3 * 60_000

/** The people of a simulated shop: they log some cleanings, and half the time say that they left a head off its cap. */
export interface ShopPeople {
  readonly actsAt: (now: ShopNow, saidMs: number) => readonly InputBody[]
  readonly said: ReadonlyMap<string, Said>
}

export function createShopPeople(
  plan: ShopPlan,
  incidents: readonly Incident[],
  { calendar, startMs }: { readonly calendar: OpeningCalendar; readonly startMs: number },
): ShopPeople {
  const said = new Map<string, { uncapped: boolean; loggedCleanings: number }>()
  const people = plan.machines.map(({ id }) => {
    said.set(id, { uncapped: false, loggedCleanings: 0 })
    const handsOff = incidents.filter((i) => i.kind === 'headLeftOff' && i.subjectId === id)
    return { id, told: handsOff.filter((_, i) => i % 2 === 0), cleaning: false, ended: 0 }
  })

  const stampOf = (atMs: number) => ({
    atMs,
    receivedMs: atMs,
    act: { actorId: 'operator', via: 'screen' as const, atMs },
  })
  return {
    said,
    actsAt: (now, saidMs) => {
      const { atMs } = now
      const acts: InputBody[] = []
      for (const person of people) {
        const { id, told } = person
        const own = said.get(id)
        if (!own) continue
        const off = told.some((i) => atMs >= i.fromMs + SAYS_AFTER_MS && atMs < i.toMs)
        if (off !== own.uncapped) {
          own.uncapped = off
          acts.push({ type: 'capSaid', ...stampOf(saidMs), machineId: id, capped: !off })
        }
        const cleaning = now.machines.get(id)?.state === 'cleaning'
        const ended = person.cleaning && !cleaning && now.machines.get(id)?.state !== 'off'
        person.cleaning = cleaning
        if (!ended || atMs < startMs + LOGS_FROM_MS || !calendar.isOpenAt(atMs)) continue
        if (own.loggedCleanings >= LOGGED) continue
        if (person.ended++ % 2 === 1) continue
        own.loggedCleanings++
        const what = { machineId: id, care: 'cleaned' as const, channelGroupIds: [] }
        acts.push({ type: 'careLogged', ...stampOf(saidMs), ...what })
      }
      return acts
    },
  }
}

import type { Machine, Settings } from '../../../services/core/model/settings.ts'
import { addBottle, addMachine, addRoom } from './settings-edits.ts'

/** The walk through the set-up of an empty shop: its steps in order, each with what it leads to. */
export const WALK_STEPS = [
  { id: 'shop', title: 'The shop' },
  { id: 'room', title: 'A room' },
  { id: 'machine', title: 'A machine' },
  { id: 'bottle', title: 'Its waste bottle' },
  { id: 'told', title: 'Who is told' },
  { id: 'node', title: 'A sensor node' },
  { id: 'sensors', title: 'What sensors measure' },
  { id: 'end', title: 'Ready' },
] as const
export type WalkStep = (typeof WALK_STEPS)[number]['id']

/** The title that an empty shop begins with; whoever keeps it has not named the shop yet. */
const UNNAMED = 'My shop'

/** WALK-1 a step is done when the settings hold what it asks for; nothing else is remembered. */
export function isStepDone(step: WalkStep, settings: Settings): boolean {
  switch (step) {
    case 'shop':
      return settings.site.title !== UNNAMED && settings.hours.weekly.length > 0
    case 'room':
      return settings.rooms.length > 0
    case 'machine':
      return settings.machines.length > 0
    case 'bottle':
      return settings.bottles.length > 0
    case 'told':
      return settings.contacts.length > 0
    case 'node':
      return settings.nodes.length > 0
    case 'sensors':
      return settings.sensors.length > 0
    case 'end':
      return false
  }
}

/** WALK-2 without a step in the address the walk goes on where it was left: at the first that is not done. */
export function walkStepOf(detail: string | undefined, settings: Settings): WalkStep {
  const named = WALK_STEPS.find(({ id }) => id === detail)
  return named?.id ?? WALK_STEPS.find(({ id }) => !isStepDone(id, settings))?.id ?? 'end'
}

export function stepAfter(step: WalkStep): WalkStep {
  return WALK_STEPS[WALK_STEPS.findIndex(({ id }) => id === step) + 1]?.id ?? 'end'
}

/** WALK-3 what is missing before a step can be taken, or an empty text. */
export function missingFor(step: WalkStep, settings: Settings): string {
  if (step === 'machine' && settings.rooms.length === 0) return 'Add the room first that it stands in.'
  if (step === 'bottle' && settings.machines.length === 0) return 'Add the machine first that drains into it.'
  return ''
}

export interface ShopGiven {
  readonly title: string
  readonly timeZone: string
  readonly opens: string
  readonly closes: string
  /** ISO weekdays, 1 is Monday. */
  readonly days: readonly number[]
}

/** What the step can show of opening hours: those of the first opening, and on which days there are any. */
export function hoursShown({ hours }: Settings): Pick<ShopGiven, 'opens' | 'closes' | 'days'> {
  const [first] = hours.weekly
  return {
    opens: first?.opens ?? '09:00',
    closes: first?.closes ?? '18:00',
    days: first ? [...new Set(hours.weekly.map((o) => o.weekday))].sort((a, b) => a - b) : [1, 2, 3, 4, 5],
  }
}

/**
 * WALK-5 the same hours on each of the days; what stood there before is replaced, unless nothing of what was shown of it
 *        was changed: hours that differ by the day are more than the step can show.
 */
export function withShop(settings: Settings, given: ShopGiven): Settings {
  const { title, timeZone, opens, closes, days } = given
  const shown = hoursShown(settings)
  const isSame =
    opens === shown.opens && closes === shown.closes && days.toSorted().join() === shown.days.join()
  if (isSame && settings.hours.weekly.length > 0)
    return { ...settings, site: { ...settings.site, title: title.trim(), timeZone } }
  const weekly = days.toSorted((a, b) => a - b).map((weekday) => ({ weekday, opens, closes }))
  return {
    ...settings,
    site: { ...settings.site, title: title.trim(), timeZone },
    hours: { ...settings.hours, weekly },
  }
}

export function withRoom(settings: Settings, { title, volumeM3 }: { title: string; volumeM3: number | null }): Settings {
  const next = addRoom(settings, title)
  return {
    ...next,
    rooms: next.rooms.map((room, at) =>
      at === next.rooms.length - 1 && volumeM3 !== null ? { ...room, volumeM3 } : room,
    ),
  }
} // prettier-ignore

export interface MachineGiven {
  readonly title: string
  readonly room: string
  readonly heads: number
  readonly white: boolean
  readonly selfCleaning: Machine['selfCleaning']
}

/** WALK-4 each head has a channel group for colour, and one for white where there is white ink. */
export function withMachine(settings: Settings, given: MachineGiven): Settings {
  const next = addMachine(settings, given.title)
  return {
    ...next,
    machines: next.machines.map((machine, at) =>
      at < next.machines.length - 1
        ? machine
        : {
            ...machine,
            room: given.room,
            selfCleaning: given.selfCleaning,
            heads: Array.from({ length: given.heads }, (_, n) => newHead(next, machine.id, n, given.white)),
          },
    ),
  }
}

/** A head of a machine with its channel groups; ids are unique in the whole shop. */
export function newHead(settings: Settings, machineId: string, at: number, white: boolean): Machine['heads'][number] {
  const taken = new Set(
    settings.machines.flatMap((m) => m.heads.flatMap((h) => [h.id, ...h.channelGroups.map((g) => g.id)])),
  )
  const free = (base: string): string => {
    const short = base.slice(0, 36)
    let id = short
    for (let n = 2; taken.has(id); n++) id = `${short}-${n}`
    taken.add(id)
    return id
  }
  const id = free(`${machineId.slice(0, 28)}-h${at + 1}`)
  const group = (title: string, ink: 'colour' | 'white') => ({ id: free(`${id}-${ink}`), title, ink })
  return {
    id,
    title: `Head ${at + 1}`,
    channelGroups: [group('Colour', 'colour'), ...(white ? [group('White', 'white')] : [])],
  }
} // prettier-ignore

export function withBottle(settings: Settings, given: { title: string; machine: string; capacityMl: number }): Settings {
  const next = addBottle(settings, given.title)
  return {
    ...next,
    bottles: next.bottles.map((bottle, at) =>
      at < next.bottles.length - 1
        ? bottle
        : { ...bottle, machines: [given.machine], capacityMl: given.capacityMl },
    ),
  }
} // prettier-ignore

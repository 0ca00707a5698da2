import type { Quantity } from '../../../services/core/model/quantity.ts'
import type { SensorBinding, Settings, SUBJECT_OF_QUANTITY } from '../../../services/core/model/settings.ts'

/** Which kinds a quantity may belong to; the compiler sees to it that they are the model's. */
const KINDS: typeof SUBJECT_OF_QUANTITY = {
  humidity: ['room'],
  temperature: ['room'],
  mass: ['bottle'],
  power: ['machine'],
  powered: ['machine', 'site'],
  voltage: ['machine'],
  current: ['machine'],
}

export interface SubjectChoice {
  readonly subject: SensorBinding['subject']
  readonly title: string
}

const DEFAULT_INTERVAL_MS = 60_000

/** All that a sensor of this quantity can belong to. */
export function subjectChoices(quantity: Quantity, settings: Settings): readonly SubjectChoice[] {
  const lists = {
    room: settings.rooms,
    machine: settings.machines,
    bottle: settings.bottles,
    site: [{ id: settings.site.id, title: 'Mains of the whole shop' }],
  }
  return KINDS[quantity].flatMap((kind) =>
    lists[kind].map(({ id, title }) => ({ subject: { kind, id }, title })),
  )
}

/** What is missing when there is nothing to choose from, and where to add it. */
export function noChoiceWords(quantity: Quantity): string {
  const [kind] = KINDS[quantity]
  return `There is no ${kind} yet that it could belong to: add one under Setup first.`
}

/** The binding that a form makes: what was known of the sensor stays where the form does not ask. */
export function bindingFrom(
  { id, quantity }: { id: string; quantity: Quantity },
  given: { subject: SensorBinding['subject']; title: string; intervalS: number },
  settings: Settings,
): SensorBinding {
  const known = settings.sensors.find((s) => s.id === id)
  const title = given.title.trim()
  return {
    id,
    quantity,
    subject: given.subject,
    intervalMs: Number.isFinite(given.intervalS) ? Math.round(given.intervalS * 1000) : DEFAULT_INTERVAL_MS,
    ...(title === '' ? {} : { title }),
    ...(known?.foreign ? { foreign: known.foreign } : {}),
  }
}

/** What the form begins with. */
export function bindingStart(
  id: string,
  settings: Settings,
): { title: string; intervalS: number; subjectKey: string } {
  const known = settings.sensors.find((s) => s.id === id)
  return {
    title: known?.title ?? '',
    intervalS: (known?.intervalMs ?? DEFAULT_INTERVAL_MS) / 1000,
    subjectKey: known ? keyOf(known.subject) : '',
  }
}

export function keyOf({ kind, id }: SensorBinding['subject']): string {
  return `${kind}:${id}`
}

import type { Mail } from '../../../services/core/model/mail.ts'
import type { Bottle, Machine, Room, Settings } from '../../../services/core/model/settings.ts'
import type { FieldError } from '../api/answer.ts'
import { nameFromTitle } from './name-from-title.ts'

/** Changes to settings in a form: each gives new settings and leaves the old as they were. */

export function withItem<T>(list: readonly T[], at: number, change: Partial<T>): T[] {
  return list.map((item, i) => (i === at ? { ...item, ...change } : item))
}

export function withoutItem<T>(list: readonly T[], at: number): T[] {
  return list.filter((_, i) => i !== at)
}

/** The item at `from` taken to `to`; the rest keep their order. */
export function movedItem<T>(list: readonly T[], from: number, to: number): T[] {
  const item = list[from]
  return item === undefined ? [...list] : withoutItem(list, from).toSpliced(to, 0, item)
}

/** Somebody who is told, the last to be asked. */
export function addContact(settings: Settings, title: string): Settings {
  const id = nameFromTitle(title, { taken: settings.contacts.map((c) => c.id), fallback: 'contact' })
  const contact: Settings['contacts'][number] = {
    id,
    title: title.trim(),
    times: 'always',
    morningReport: true,
    closingReminder: true,
    push: true,
  }
  return { ...settings, contacts: [...settings.contacts, contact] }
}

/** The mail server changed, or begun with the usual port; a user name that is empty is left out. */
export function withMail(settings: Settings, update: Partial<Mail>): Settings {
  const usual: Mail = { host: '', port: 587, security: 'startTls', from: '' }
  const mail: Mail = { ...usual, ...settings.mail, ...update }
  if (mail.user?.trim() === '') delete mail.user
  return { ...settings, mail }
}

export function withoutMail(settings: Settings): Settings {
  const rest = { ...settings }
  delete rest.mail
  return rest
}

export function addRoom(settings: Settings, title: string): Settings {
  const id = nameFromTitle(title, { taken: settings.rooms.map((r) => r.id), fallback: 'room' })
  const room: Room = { id, title: title.trim(), airChangesPerH: 0.5, targetPct: 45, outdoors: false }
  return { ...settings, rooms: [...settings.rooms, room] }
}

/** A machine stands in the first room until told otherwise; its own cleaning is unknown until told. */
export function addMachine(settings: Settings, title: string): Settings {
  const id = nameFromTitle(title, { taken: settings.machines.map((m) => m.id), fallback: 'printer' })
  const machine: Machine = {
    id,
    title: title.trim(),
    room: settings.rooms[0]?.id ?? '',
    heads: [],
    selfCleaning: { kind: 'unknown' },
    offBelowW: 2,
  }
  return { ...settings, machines: [...settings.machines, machine] }
}

/** Starting values of a bottle: 2 litres, 0.2 kg empty, waste a little heavier than water. */
export function addBottle(settings: Settings, title: string): Settings {
  const id = nameFromTitle(title, { taken: settings.bottles.map((b) => b.id), fallback: 'bottle' })
  const first = settings.machines[0]
  const bottle: Bottle = {
    id,
    title: title.trim(),
    machines: first ? [first.id] : [],
    capacityMl: 2000,
    tareKg: 0.2,
    densityKgPerL: 1.05,
  }
  return { ...settings, bottles: [...settings.bottles, bottle] }
}

export type Opening = Settings['hours']['weekly'][number]

/** Another stretch on a day: the usual hours, or after the last one that stands there. */
export function addOpening(weekly: readonly Opening[], weekday: number): Opening[] {
  const last = weekly.filter((o) => o.weekday === weekday).at(-1)
  const opening = last
    ? { weekday, opens: last.closes, closes: '23:59' }
    : { weekday, opens: '09:00', closes: '18:00' }
  return [...weekly, opening].sort((a, b) => a.weekday - b.weekday || (a.opens < b.opens ? -1 : 1))
}

/** Monday's hours on the other days to Friday, in place of what stood there. */
export function likeMonday(weekly: readonly Opening[]): Opening[] {
  const monday = weekly.filter((o) => o.weekday === 1)
  const weekend = weekly.filter((o) => o.weekday > 5)
  return [...[1, 2, 3, 4, 5].flatMap((weekday) => monday.map((o) => ({ ...o, weekday }))), ...weekend]
}

/** One date a line, as the owner types them; empty lines fall away. */
export function holidaysFrom(text: string): string[] {
  return text
    .split(/[\s,;]+/)
    .map((date) => date.trim())
    .filter((date) => date !== '')
}

/** What the server said is wrong with one field, or an empty text. */
export function faultAt(errors: readonly FieldError[], pointer: string): string {
  return errors
    .filter((e) => e.pointer === pointer)
    .map((e) => e.detail)
    .join('; ')
}

/** A pointer in words, for a fault whose field no form shows: `/limits/airDryPct/openBelow` is `limits, airDryPct, openBelow`. */
export function pointerWords(pointer: string): string {
  const parts = pointer.split('/').filter((part) => part !== '')
  return parts.map((part) => (/^\d+$/.test(part) ? `no. ${Number(part) + 1}` : part)).join(', ')
}

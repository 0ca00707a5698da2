import type { Settings } from '../../model/settings.ts'
import { fieldWordsOf, LIST_WORDS, SECTION_WORDS } from './field-words.ts'
import { hoursDifferences } from './hours-differences.ts'
import { limitLeaves, limitText, limitWordsOf } from './limit-words.ts'
import type { SettingsDifference } from './settings-difference.ts'

type Fields = Readonly<Record<string, unknown>>
interface Item extends Fields {
  readonly id: string
}
interface Place {
  readonly path: string
  readonly name: string
}

/**
 * What differs, in the order of the settings, the limits last.
 *
 * DIFF-1 equal settings differ in nothing; any two others differ in at least one line.
 * DIFF-2 items of a list are the same when their ids are; a new order of contacts and closing steps is told.
 * DIFF-3 things are called by their titles: a new one by its new title, one that went by its old.
 */
export function settingsDifferences(before: Settings, after: Settings): SettingsDifference[] {
  const names = namesOf(before, after)
  const found = [
    ...sectionDifferences(before, after, names),
    ...hoursDifferences(before.hours, after.hours),
    ...listNames().flatMap((list) =>
      listDifferences({ path: list, name: LIST_WORDS[list] }, [before[list], after[list]], names),
    ),
    ...limitDifferences(before, after),
  ]
  const isSame = found.length > 0 || JSON.stringify(before) === JSON.stringify(after)
  return isSame ? found : [{ path: '', text: 'The same as before, written in another order' }]
}

function listNames(): (keyof typeof LIST_WORDS)[] {
  return Object.keys(LIST_WORDS) as (keyof typeof LIST_WORDS)[]
}

function sectionDifferences(before: Settings, after: Settings, names: Names): SettingsDifference[] {
  const known = new Set<string>(['hours', 'limits', ...listNames()])
  const sections = [...new Set([...Object.keys(before), ...Object.keys(after)])].filter((k) => !known.has(k))
  return sections.flatMap((key) => {
    const name = SECTION_WORDS[key] ?? fieldWordsOf(key).label
    const [a, b] = [(before as Fields)[key], (after as Fields)[key]]
    return fieldDifferences({ path: key, name }, [fieldsOrNone(a), fieldsOrNone(b)], names)
  })
}

function limitDifferences(before: Settings, after: Settings): SettingsDifference[] {
  const old = new Map(limitLeaves(before.limits).map(({ path, value }) => [path, value]))
  return limitLeaves(after.limits).flatMap(({ path, value }) => {
    const was = old.get(path)
    if (was === value) return []
    const { group, label } = limitWordsOf(path)
    return [change(`limits.${path}`, `${group}, ${lowerFirst(label)}`, [was === undefined ? NOTHING : limitText(path, was), limitText(path, value)])]
  }) // prettier-ignore
}

/** A list whose items have ids: what came, what went, what changed, and the order where it means something. */
function listDifferences(
  { path, name }: Place,
  [before, after]: readonly [readonly Item[], readonly Item[]],
  names: Names,
): SettingsDifference[] {
  const old = new Map(before.map((item) => [item.id, item]))
  const now = new Map(after.map((item) => [item.id, item]))
  const placeOf = (item: Item): Place => ({ path: `${path}.${item.id}`, name: `${name} ${titleOf(item)}` })
  const went = before.filter(({ id }) => !now.has(id)).map((item) => said(placeOf(item), 'removed'))
  const rest = after.flatMap((item) => {
    const was = old.get(item.id)
    if (!was) return [said(placeOf(item), `added${newItemWords(item, names)}`)]
    // A thing that was renamed is still known by the name that people know.
    return fieldDifferences(placeOf(was), [was, item], names)
  })
  const order = orderDifference({ path, name }, before, after)
  return [...went, ...rest, ...order]
}

const ORDER_WORDS: Readonly<Record<string, string>> = {
  contacts: 'Contacts are asked in another order',
  closingSteps: 'Closing steps in another order',
}

function orderDifference({ path }: Place, before: readonly Item[], after: readonly Item[]) {
  const both = new Set(before.filter((a) => after.some((b) => b.id === a.id)).map(({ id }) => id))
  const orderOf = (items: readonly Item[]) => items.filter(({ id }) => both.has(id)).map(({ id }) => id)
  if (orderOf(before).join(' ') === orderOf(after).join(' ')) return []
  const titles = after.map(titleOf).join(', ')
  return [{ path, text: `${ORDER_WORDS[path.split('.').at(-1) ?? ''] ?? 'Another order'}: ${titles}` }]
}

/** Where a new sensor or machine belongs, so that one line tells what there is to know. */
function newItemWords(item: Item, names: Names): string {
  const { subject, room } = item
  if (isFields(subject)) return `, measures ${names.of(String(subject['kind']), String(subject['id']))}`
  return typeof room === 'string' ? `, stands in ${names.of('room', room)}` : ''
}

function fieldDifferences(
  place: Place,
  [before, after]: readonly [Fields, Fields],
  names: Names,
): SettingsDifference[] {
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])]
  return keys.flatMap((key) => fieldDifference(place, key, [before[key], after[key]], names))
}

/** Fields that are told as one, however many parts they have. */
const WHOLE = ['selfCleaning', 'subject', 'trigger', 'room', 'machines']

function fieldDifference(
  { path, name }: Place,
  key: string,
  [was, is]: readonly [unknown, unknown],
  names: Names,
): SettingsDifference[] {
  if (JSON.stringify(was) === JSON.stringify(is)) return []
  const at = `${path}.${key}`
  if (isItems(was ?? is) || isItems(is))
    return listDifferences({ path: at, name: `${name}, ${singular(key)}` }, [itemsOf(was), itemsOf(is)], names)
  if (!WHOLE.includes(key) && (isFields(was) || isFields(is)))
    return fieldDifferences({ path: at, name }, [fieldsOrNone(was), fieldsOrNone(is)], names)
  return [change(at, `${name}, ${fieldWordsOf(key).label}`, [valueText(key, was, names), valueText(key, is, names)])]
} // prettier-ignore

const NOTHING = 'nothing'

function change(path: string, what: string, [was, is]: readonly [string, string]): SettingsDifference {
  if (was === NOTHING) return { path, text: `${what}: now ${is}` }
  if (is === NOTHING) return { path, text: `${what}: no longer ${was}` }
  return { path, text: `${what}: from ${withoutSharedUnit(was, is)} to ${is}` }
}

/** `from 40 to 38 %RH` reads better than with the unit twice. */
function withoutSharedUnit(was: string, is: string): string {
  const unitOf = (text: string) => /^-?[\d.]+ (.+)$/.exec(text)?.[1]
  const unit = unitOf(was)
  return unit !== undefined && unit === unitOf(is) ? was.slice(0, -unit.length - 1) : was
}

function valueText(key: string, value: unknown, names: Names): string {
  if (value === undefined || value === null || value === '') return NOTHING
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (key === 'room' && typeof value === 'string') return names.of('room', value)
  if (key === 'machines' && Array.isArray(value)) return value.map((id) => names.of('machine', String(id))).join(', ')
  if (key === 'subject' && isFields(value)) return names.of(String(value['kind']), String(value['id']))
  if (key === 'selfCleaning' && isFields(value)) return cleaningText(value)
  const { unit, factor = 1 } = fieldWordsOf(key)
  const withUnit = (text: string): string => (unit === undefined ? text : `${text} ${unit}`)
  if (typeof value === 'number') return withUnit(String(Number((value / factor).toPrecision(7))))
  if (isBand(value)) return withUnit(`${value[0]} to ${value[1]}`)
  if (Array.isArray(value)) return value.length === 0 ? NOTHING : value.map(String).join('; ')
  if (isFields(value)) return Object.values(value).map(String).join(', ')
  return typeof value === 'string' ? value : JSON.stringify(value)
} // prettier-ignore

function cleaningText({ kind, hours }: Fields): string {
  if (kind === 'everyHours') return `every ${String(hours)} h`
  return kind === 'no' ? 'not by itself' : 'not known'
}

interface Names {
  /** The title of a thing: the newer one where it has two. */
  readonly of: (kind: string, id: string) => string
}

function namesOf(before: Settings, after: Settings): Names {
  const titles = new Map<string, string>()
  for (const { rooms, machines, bottles } of [before, after]) {
    for (const { id, title } of rooms) titles.set(`room ${id}`, title)
    for (const { id, title } of machines) titles.set(`machine ${id}`, title)
    for (const { id, title } of bottles) titles.set(`bottle ${id}`, title)
  }
  return {
    of: (kind, id) => (kind === 'site' ? 'the mains of the shop' : (titles.get(`${kind} ${id}`) ?? id)),
  }
}

function titleOf(item: Item): string {
  const title = item['title'] ?? item['text']
  return typeof title === 'string' ? title : item.id
}

function said({ path, name }: Place, what: string): SettingsDifference {
  return { path, text: `${name}: ${what}` }
}

function singular(key: string): string {
  return key === 'channelGroups' ? 'channel group' : fieldWordsOf(key).label.replace(/s$/, '')
}

function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1)
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

function fieldsOrNone(value: unknown): Fields {
  return isFields(value) ? value : {}
}

function isItems(value: unknown): value is readonly Item[] {
  return Array.isArray(value) && value.length > 0 && value.every((v) => isFields(v) && typeof v['id'] === 'string')
} // prettier-ignore

function itemsOf(value: unknown): readonly Item[] {
  return isItems(value) ? value : []
}

function isBand(value: unknown): value is readonly [number, number] {
  return Array.isArray(value) && value.length === 2 && value.every((v) => typeof v === 'number')
}

/** A field of the settings in words: its name, and how a number in it is told. */
export interface FieldWords {
  readonly label: string
  /** Unit of the shown number; `factor` is what one shown unit is in the stored one. */
  readonly unit?: string
  readonly factor?: number
}

const MIN = { unit: 'min', factor: 60_000 }

/** By the last part of a field's path. What has no words of its own is told by its name in the settings. */
const WORDS: Readonly<Record<string, FieldWords>> = {
  title: { label: 'name' },
  timeZone: { label: 'time zone' },
  temperatureUnit: { label: 'temperatures in' },
  volumeUnit: { label: 'volumes in' },
  volumeM3: { label: 'volume of air', unit: 'm³' },
  airChangesPerH: { label: 'air changes', unit: 'an hour' },
  targetPct: { label: 'humidity to hold', unit: '%RH' },
  outdoors: { label: 'is outdoors' },
  room: { label: 'stands in' },
  machines: { label: 'drained by' },
  capacityMl: { label: 'holds', unit: 'mL' },
  tareKg: { label: 'weight when empty', unit: 'kg' },
  densityKgPerL: { label: 'weight of the waste', unit: 'kg a litre' },
  offBelowW: { label: 'counts as off below', unit: 'W' },
  selfCleaning: { label: 'cleans itself' },
  cleaning: { label: 'power while cleaning', unit: 'W' },
  printing: { label: 'power while printing', unit: 'W' },
  cleaningS: { label: 'a cleaning lasts', unit: 's' },
  insteadOfLearned: { label: 'told by hand, whatever is learned' },
  ink: { label: 'ink' },
  installedOn: { label: 'installed on' },
  removedOn: { label: 'removed on' },
  subject: { label: 'measures' },
  quantity: { label: 'quantity' },
  intervalMs: { label: 'sends at least every', unit: 's', factor: 1000 },
  topicFilter: { label: 'topic' },
  pointer: { label: 'place in the message' },
  scale: { label: 'scale' },
  offset: { label: 'offset' },
  unit: { label: 'unit' },
  personId: { label: 'signs in as' },
  times: { label: 'told at' },
  morningReport: { label: 'morning report' },
  closingReminder: { label: 'reminder of the closing list' },
  push: { label: 'notices on devices' },
  mail: { label: 'mail address' },
  webhookUrl: { label: 'webhook' },
  remindAfterMs: { label: 'said again after', ...MIN },
  escalateAfterMs: { label: 'the next is asked after', ...MIN },
  reminders: { label: 'reminders' },
  closingReminderAfterMs: { label: 'reminder of the closing list after', ...MIN },
  allowPrivateWebhooks: { label: 'webhooks within the own network' },
  host: { label: 'server' },
  port: { label: 'port' },
  security: { label: 'encryption' },
  user: { label: 'user name' },
  from: { label: 'sent from' },
  why: { label: 'reason' },
  steps: { label: 'steps' },
  cautions: { label: 'cautions' },
  tools: { label: 'tools' },
  supplies: { label: 'supplies' },
  forEach: { label: 'for each' },
  rule: { label: 'days' },
  time: { label: 'time' },
  startsOn: { label: 'begins on' },
  hours: { label: 'every, in hours' },
  count: { label: 'after, in cleanings' },
  on: { label: 'asked for' },
  text: { label: 'text' },
  of: { label: 'done' },
  picture: { label: 'picture' },
  confirmedBy: { label: 'confirmed by' },
  required: { label: 'required' },
}

export function fieldWordsOf(key: string): FieldWords {
  return WORDS[key] ?? { label: key.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase() }
}

/** The lists of the settings whose items have ids, and what one item is called. */
export const LIST_WORDS = {
  rooms: 'Room',
  machines: 'Machine',
  bottles: 'Bottle',
  nodes: 'Node',
  sensors: 'Sensor',
  contacts: 'Contact',
  routines: 'Routine',
  closingSteps: 'Closing step',
} as const

/** Sections that hold fields of their own. */
export const SECTION_WORDS: Readonly<Record<string, string>> = {
  site: 'Shop',
  telling: 'Who is told',
  mail: 'Mail',
}

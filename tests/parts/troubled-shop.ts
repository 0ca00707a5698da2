import fc from 'fast-check'
import type { InputBody, Reading } from '../../services/core/model/input.ts'
import type { Learned } from '../../services/core/model/learned.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { STARTING_TRUST_LIMITS } from '../../services/core/model/trust-limits.ts'
import { packInput, settingsInput, type Arrival } from './kernel-run.ts'
import { testSettings } from './shop-settings.ts'

const MIN = 60_000
const HOUR = 60 * MIN
/** Wednesday 25 November 2026, 16:00 in Brussels: the runs pass closing at 18:00 and end before opening. */
export const TROUBLE_START_MS = Date.parse('2026-11-25T15:00:00Z')
const STEPS = 900
export const TROUBLE_END_MS = TROUBLE_START_MS + (STEPS + 120) * MIN

/**
 * A small shop whose limits are so tight that half a day can bring every trouble there is. The limits are no starting
 * values of anything.
 */
export function troubledSettings(change: Record<string, unknown> = {}): Settings {
  const base = testSettings()
  const [machine] = base.machines
  const sensor = (id: string, quantity: string, kind: string, subjectId: string) => ({
    id,
    quantity,
    subject: { kind, id: subjectId },
    intervalMs: MIN,
  })
  return testSettings({
    machines: [
      {
        ...machine,
        selfCleaning: { kind: 'everyHours', hours: 1 },
        powerBandsW: { cleaning: [90, 130], printing: [150, 300], cleaningS: [240, 360] },
      },
    ],
    nodes: [{ id: 'bench' }, { id: 'a-corner' }, { id: 'ups' }],
    contacts: ['lena', 'bo'].map((id) => ({ id, title: id, mail: `${id}@example.org` })),
    sensors: [
      sensor('bench/humidity', 'humidity', 'room', 'floor'),
      sensor('bench/temperature', 'temperature', 'room', 'floor'),
      sensor('bench/bottle', 'mass', 'bottle', 'roll-waste'),
      sensor('bench/power', 'power', 'machine', 'roll'),
      sensor('a-corner/humidity', 'humidity', 'room', 'floor'),
      sensor('ups/mains', 'powered', 'site', 'quayside'),
    ],
    limits: {
      doseKpaH: { colour: 3, white: 1.6 },
      idleMs: 2 * HOUR,
      flickering: { times: 3, withinMs: HOUR },
      trust: {
        humidity: { ...STARTING_TRUST_LIMITS.humidity, stillMs: 45 * MIN },
        stillReadings: 20,
        apart: { ...STARTING_TRUST_LIMITS.apart, forMs: 30 * MIN, backMs: 20 * MIN },
      },
      ...change,
    },
  })
}

const lane = <Kind extends string>(kinds: readonly Kind[]) =>
  fc.array(fc.tuple(fc.constantFrom(...kinds), fc.integer({ min: 10, max: 150 })), {
    minLength: 4,
    maxLength: 10,
  })

const AIR = ['fine', 'fine', 'dry', 'veryDry', 'damp', 'stuck', 'garbage', 'apart'] as const
const WARMTH = ['fine', 'fine', 'cold', 'warm'] as const
const POWER = [
  'auto',
  'auto',
  'auto',
  'auto',
  'idle',
  'idle',
  'printing',
  'off',
  'flicker',
  'between',
  'outage',
] as const
const BOTTLE = ['filling', 'filling', 'near', 'full', 'lifted', 'leaking', 'empty'] as const
const SAID = [
  'cleaned',
  'printed',
  'partlyCleaned',
  'whiteStirred',
  'uncapped',
  'capped',
  'servicing',
  'done',
  'error',
  'runs',
] as const

/** What befalls the shop, lane by lane: a kind of trouble, and for how many minutes. */
export const troubles = fc.record({
  air: lane(AIR),
  warmth: lane(WARMTH),
  power: lane(POWER),
  bottle: lane(BOTTLE),
  said: fc.array(fc.tuple(fc.integer({ min: 1, max: STEPS }), fc.constantFrom(...SAID)), { maxLength: 12 }),
  /** Minutes by which each pack comes late; most come at once, many by a little, few by much. */
  lateness: fc.array(
    fc.oneof(
      { weight: 6, arbitrary: fc.constant(0) },
      { weight: 3, arbitrary: fc.integer({ min: 1, max: 4 }) },
      { weight: 1, arbitrary: fc.integer({ min: 5, max: 80 }) },
    ),
    { minLength: 20, maxLength: 20 },
  ),
  /** Packs lost for good leave holes longer than a reading stands for. */
  lost: fc.array(fc.integer({ min: 0, max: STEPS }), { maxLength: 5 }),
  settingsAt: fc.option(fc.integer({ min: 5, max: STEPS }), { nil: null }),
})
export type Troubles = typeof troubles extends fc.Arbitrary<infer T> ? T : never

/** Two runs by hand that meet every condition between them, so that no property rests on chance to reach its rules. */
export const TOURS: readonly Troubles[] = [
  {
    air: [
      ['fine', 60],
      ['dry', 40],
      ['fine', 30],
      ['veryDry', 60],
      ['fine', 60],
      ['damp', 90],
      ['fine', 60],
      ['stuck', 150],
      ['fine', 350],
    ],
    warmth: [
      ['fine', 60],
      ['cold', 60],
      ['fine', 60],
      ['warm', 60],
      ['fine', 600],
    ],
    power: [
      ['auto', 310],
      ['idle', 150],
      ['auto', 30],
      ['printing', 30],
      ['off', 60],
      ['auto', 30],
      ['flicker', 40],
      ['auto', 90],
      ['outage', 40],
      ['auto', 60],
      ['between', 50],
      ['auto', 90],
    ],
    bottle: [
      ['filling', 60],
      ['near', 60],
      ['full', 60],
      ['empty', 60],
      ['lifted', 40],
      ['filling', 100],
      ['near', 320],
      ['empty', 60],
      ['filling', 60],
    ],
    said: [
      [20, 'uncapped'],
      [40, 'capped'],
      [50, 'error'],
      [70, 'runs'],
      [130, 'whiteStirred'],
      [600, 'printed'],
    ],
    lateness: [0, 0, 1, 0, 3, 0, 0, 30, 0, 0, 2, 0, 0, 0, 1, 0, 60, 0, 0, 4],
    lost: [205],
    settingsAt: 555,
  },
  {
    air: [
      ['fine', 90],
      ['garbage', 60],
      ['fine', 150],
      ['apart', 150],
      ['fine', 400],
    ],
    warmth: [['fine', 600]],
    power: [
      ['auto', 100],
      ['off', 60],
      ['idle', 150],
      ['auto', 120],
      ['idle', 150],
      ['auto', 300],
    ],
    bottle: [
      ['filling', 400],
      ['leaking', 120],
      ['filling', 200],
      ['lifted', 30],
      ['filling', 120],
    ],
    said: [
      [30, 'servicing'],
      [200, 'whiteStirred'],
      [380, 'done'],
      [700, 'whiteStirred'],
    ],
    lateness: [0, 2, 0, 0, 0, 1, 0, 45, 0, 0, 0, 3, 0, 0, 0, 0, 1, 0, 0, 0],
    lost: [],
    settingsAt: null,
  },
]

type Lane<Kind> = readonly (readonly [Kind, number])[]

/** The kind that holds in a minute, and since which minute. */
function at<Kind>(parts: Lane<Kind>, minute: number): { kind: Kind; since: number } {
  let from = 0
  for (const [kind, length] of parts) {
    if (minute < from + length) return { kind, since: from }
    from += length
  }
  const last = parts.at(-1)
  if (!last) throw new RangeError('a lane has at least one part')
  return { kind: last[0], since: from - last[1] }
}

const flicker = (minute: number): number => ((minute * 7) % 11) / 25

function humidityPct(t: Troubles, minute: number): number {
  const { kind, since } = at(t.air, minute)
  if (kind === 'stuck') return 47 + flicker(since)
  if (kind === 'garbage') return minute % 2 === 0 ? 1 : 96
  const level = kind === 'dry' ? 36 : kind === 'veryDry' ? 27 : kind === 'damp' ? 70 : 47
  return level + flicker(minute)
}

function cornerPct(t: Troubles, minute: number): number {
  const { kind } = at(t.air, minute)
  if (kind === 'apart') return 82 + flicker(minute + 3)
  return kind === 'stuck' || kind === 'garbage' ? 46 + flicker(minute) : humidityPct(t, minute) - 0.6
}

function powerW(t: Troubles, minute: number): number {
  const { kind } = at(t.power, minute)
  const rest = 40 + flicker(minute)
  switch (kind) {
    case 'auto':
      return minute % 60 < 5 ? 110 + flicker(minute) : rest
    case 'printing':
      return 190 + flicker(minute)
    case 'between':
      return 140
    case 'flicker':
      return minute % 4 < 2 ? 0 : rest
    case 'off':
    case 'outage':
      return 0
    case 'idle':
      return rest
  }
}

/** What the scale reads minute by minute, in kg; the empty bottle weighs 0.2 kg and holds 2 kg. */
function massesKg(t: Troubles): number[] {
  let contentsKg = 0.6
  return Array.from({ length: STEPS }, (_, minute) => {
    const { kind, since } = at(t.bottle, minute)
    if (minute === since && kind === 'near') contentsKg = 1.68
    if (minute === since && kind === 'full') contentsKg = 1.94
    if (minute === since && kind === 'empty') contentsKg = 0.02
    if (kind === 'leaking') contentsKg = Math.max(0.05, contentsKg - 0.003)
    if (kind === 'filling') contentsKg = Math.min(1.98, contentsKg + (minute % 60 === 5 ? 0.012 : 0))
    const shiver = flicker(minute) / 2000
    return kind === 'lifted' || (kind === 'empty' && minute - since < 4) ? shiver : 0.2 + contentsKg + shiver
  })
}

function nodesAt(t: Troubles, masses: readonly number[], minute: number): readonly Reading[][] {
  const atMs = TROUBLE_START_MS + minute * MIN
  const reading = (sensorId: string, quantity: Reading['quantity'], value: number, laterMs = 0): Reading => ({
    sensorId,
    quantity,
    atMs: atMs + laterMs,
    value,
  })
  const { kind } = at(t.warmth, minute)
  const warmth = kind === 'cold' ? 12 : kind === 'warm' ? 32 : 22
  return [
    [
      reading('bench/bottle', 'mass', masses[minute] ?? 0),
      reading('bench/humidity', 'humidity', humidityPct(t, minute)),
      reading('bench/power', 'power', powerW(t, minute)),
      reading('bench/temperature', 'temperature', warmth + flicker(minute)),
    ],
    // A node of its own, whose readings tie with the bench's in time.
    minute % 3 > 0 ? [reading('a-corner/humidity', 'humidity', cornerPct(t, minute))] : [],
    [reading('ups/mains', 'powered', at(t.power, minute).kind === 'outage' ? 0 : 1, 400)],
  ]
}

/** All that arrives at the monitor: in the order of its making, or in the order in which lateness lets it arrive. */
export function arrivalsOf(t: Troubles, late: boolean): Arrival[] {
  const masses = massesKg(t)
  const arrivals: Arrival[] = [...orders(t)]
  for (let minute = 0; minute < STEPS; minute++) {
    if (t.lost.some((from) => minute >= from && minute < from + 6)) continue
    nodesAt(t, masses, minute).forEach((readings, n) => {
      const delay = late ? (t.lateness[(minute + 7 * n) % t.lateness.length] ?? 0) * MIN : 0
      const receivedMs = TROUBLE_START_MS + minute * MIN + delay + 500 + n * 50
      if (readings.length > 0) arrivals.push({ receivedMs, body: packInput(receivedMs, readings) })
    })
  }
  return arrivals.sort((a, b) => a.receivedMs - b.receivedMs)
}

function orders(t: Troubles): Arrival[] {
  const before = TROUBLE_START_MS - MIN
  const act = (atMs: number) => ({ actorId: 'ana', via: 'screen' as const, atMs })
  const stamped = (body: InputBody): Arrival => ({ receivedMs: body.receivedMs, body })
  const arrivals = [
    stamped(settingsInput(troubledSettings(), before)),
    ...learnedBefore(before).map((learned, i) =>
      stamped({
        type: 'learned',
        atMs: before + 1 + i,
        receivedMs: before + 1 + i,
        learned,
        waiting: false,
        act: null,
      }),
    ),
    ...['lena', 'bo'].map((contactId) =>
      stamped({
        type: 'replyPathProven',
        atMs: TROUBLE_START_MS - 1,
        receivedMs: TROUBLE_START_MS - 1,
        contactId,
      }),
    ),
    // Cleanings that are logged hour by hour: those that the meter sees too make a missing one mean something.
    ...Array.from({ length: 15 }, (_, hour) =>
      said(TROUBLE_START_MS + hour * HOUR + 7 * MIN + 31, 'cleaned'),
    ),
    ...t.said.map(([minute, word]) => said(TROUBLE_START_MS + minute * MIN + 17, word)),
  ]
  if (t.settingsAt !== null) {
    const atMs = TROUBLE_START_MS + t.settingsAt * MIN + 7
    const airDryPct = { openBelow: 42, closeAbove: 45, onDelayMs: 5 * MIN, offDelayMs: 3 * MIN }
    arrivals.push(stamped(settingsInput(troubledSettings({ airDryPct }), atMs)))
  }
  return arrivals

  function said(atMs: number, word: (typeof SAID)[number]): Arrival {
    const common = { atMs, receivedMs: atMs, act: act(atMs), machineId: 'roll' }
    switch (word) {
      case 'uncapped':
      case 'capped':
        return stamped({ type: 'capSaid', ...common, capped: word === 'capped' })
      case 'servicing':
      case 'done':
        return stamped({ type: 'servicingSaid', ...common, servicing: word === 'servicing' })
      case 'error':
      case 'runs':
        return stamped({ type: 'errorStopSaid', ...common, stopped: word === 'error' })
      case 'cleaned':
      case 'printed':
      case 'partlyCleaned':
      case 'whiteStirred':
        return stamped({
          type: 'careLogged',
          ...common,
          care: word,
          channelGroupIds: word === 'cleaned' ? ['roll-colour'] : [],
        })
    }
  }
}

/** What the shop's past is taken to have taught. */
function learnedBefore(toMs: number): readonly Learned[] {
  const stamp = { fromMs: toMs - 56 * 24 * HOUR, toMs, version: 'test' }
  const weeks = 8 * 168
  const day = (date: string, dip: number) => ({
    date,
    temperatureC: Array.from({ length: 48 }, () => 22),
    humidityPct: Array.from({ length: 48 }, (_, slot) => 47 - dip * (slot < 16 ? 1 : 0)),
  })
  return [
    { kind: 'cleaningWaste', subjectId: 'roll', ...stamp, gramsPerCleaning: 12, sigmaG: 1, cleanings: 60 },
    {
      kind: 'fillProfile',
      subjectId: 'roll-waste',
      ...stamp,
      timeZone: 'Europe/Brussels',
      firstHour: Math.floor(toMs / HOUR) + 1 - weeks,
      gainsG: Array.from({ length: weeks }, (_, hour) => 26 + (hour % 5)),
      evaporationGPerDay: 3,
      noiseG: 0.5,
    },
    {
      kind: 'roomNights',
      subjectId: 'floor',
      ...stamp,
      days: Array.from({ length: 20 }, (_, i) => day(`2026-11-${String(i + 1).padStart(2, '0')}`, i % 9)),
    },
  ]
}

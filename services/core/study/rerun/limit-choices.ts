import type { Condition } from '../../model/episode.ts'
import type { LimitChange, LimitChoice } from '../../model/rerun.ts'
import { limitsSchema, type Limits, type Settings } from '../../model/settings.ts'

/** What a re-run may change, and what that decides. */
interface Choosable extends Omit<LimitChoice, 'todayValue' | 'wakes'> {
  readonly decides: readonly Condition[]
}

const MINUTE_MS = 60_000
/** What may call somebody at night (rules URGENT-1 to URGENT-3). */
const MAY_WAKE: ReadonlySet<Condition> = new Set<Condition>([
  'offItsCap',
  'headWillDry',
  'mainsLost',
  'bottleFull',
  'bottleMissing',
  'bottleWillFill',
])

const PERCENT = { unit: '%', per: 1, min: 0, max: 100 }
const HUMIDITY = { ...PERCENT, unit: '%RH' }
const CELSIUS = { unit: 'degC', per: 1, min: -20, max: 60 }
const MINUTES = { unit: 'min', per: MINUTE_MS, min: 0, max: 24 * 60 * MINUTE_MS }
const CHANCE = { unit: '%', per: 0.01, min: 0.05, max: 1 }

type Scale = Pick<Choosable, 'unit' | 'per' | 'min' | 'max'>

function oneLimit(
  limit: string,
  about: { group: string; title: string; decides: readonly Condition[] },
  scale: Scale,
): Choosable {
  return { limit, ...about, ...scale }
}

/** A limit with a deadband and delays: four things that may be tried. */
function bandLimit(
  name: keyof Limits,
  side: 'low' | 'high',
  { group, decides, scale }: { group: string; decides: readonly Condition[]; scale: Scale },
): Choosable[] {
  const [open, close] = side === 'low' ? ['openBelow', 'closeAbove'] : ['openAbove', 'closeBelow']
  const [onSide, offSide] = side === 'low' ? ['below', 'above'] : ['above', 'below']
  return [
    oneLimit(`${name}.${open}`, { group, title: `On record ${onSide}`, decides }, scale),
    oneLimit(`${name}.${close}`, { group, title: `Well again ${offSide}`, decides }, scale),
    oneLimit(`${name}.onDelayMs`, { group, title: 'Told after', decides }, MINUTES),
    oneLimit(`${name}.offDelayMs`, { group, title: 'Over after', decides }, MINUTES),
  ]
}

const HEAD_DRYING = ['headDrying', 'headWillDry'] as const
const BOTTLE_LEVEL = ['bottleNear', 'bottleFull', 'bottleWillFill'] as const
const POWER_OFF = ['powerLost', 'leftOff', 'mainsLost'] as const

function drying(limit: string, title: string, scale: Scale): Choosable {
  return oneLimit(limit, { group: 'Drying ink', title, decides: HEAD_DRYING }, scale)
}

const LIMITS: readonly Choosable[] = [
  ...bandLimit('airDryPct', 'low', { group: 'Dry air', decides: ['airDry'], scale: HUMIDITY }),
  ...bandLimit('airVeryDryPct', 'low', { group: 'Very dry air', decides: ['airVeryDry'], scale: HUMIDITY }),
  ...bandLimit('airDampPct', 'high', { group: 'Damp air', decides: ['airDamp'], scale: HUMIDITY }),
  ...bandLimit('roomColdC', 'low', { group: 'Cold room', decides: ['roomCold'], scale: CELSIUS }),
  ...bandLimit('roomWarmC', 'high', { group: 'Warm room', decides: ['roomWarm'], scale: CELSIUS }),
  drying('doseKpaH.colour', 'Colour ink may dry', { unit: 'kPa h', per: 1, min: 0.1, max: 100_000 }),
  drying('doseKpaH.white', 'White ink may dry', { unit: 'kPa h', per: 1, min: 0.1, max: 100_000 }),
  drying('exposureFactor.uncapped', 'Off its cap, ink dries', { unit: 'times', per: 1, min: 1, max: 10_000 }),
  drying('exposureFactor.capped', 'On its cap, ink dries', { unit: 'times', per: 1, min: 0.01, max: 1000 }),
  drying('partialCleaningKeeps', 'A short cleaning leaves', { unit: '%', per: 0.01, min: 0, max: 1 }),
  drying('forecast.listProbability', 'On the list, when as probable as', CHANCE),
  drying('forecast.wakeProbability', 'Somebody is called, when as probable as', CHANCE),
  oneLimit(
    'powerOff.closedMs',
    { group: 'Machine off', title: 'While closed, told after', decides: POWER_OFF },
    MINUTES,
  ),
  oneLimit(
    'powerOff.openMs',
    { group: 'Machine off', title: 'While open, told after', decides: ['powerLost'] },
    MINUTES,
  ),
  oneLimit(
    'powerOff.uncappedMs',
    { group: 'Machine off', title: 'Probably off its cap, told after', decides: ['offItsCap'] },
    MINUTES,
  ),
  oneLimit(
    'powerOff.toldMs',
    {
      group: 'Machine off',
      title: 'Somebody is called after, at night',
      decides: ['headWillDry', 'mainsLost'],
    },
    MINUTES,
  ),
  oneLimit(
    'flickering.times',
    { group: 'Machine off', title: 'Power comes and goes, at', decides: ['powerFlickering'] },
    { unit: 'times', per: 1, min: 2, max: 1000 },
  ),
  oneLimit(
    'notCleaningIntervals',
    { group: 'Cleaning', title: 'No cleaning for', decides: ['notCleaning'] },
    { unit: 'usual intervals', per: 1, min: 1, max: 100 },
  ),
  oneLimit(
    'idleMs',
    { group: 'Cleaning', title: 'White ink may stand still', decides: ['idleTooLong'] },
    { unit: 'h', per: 60 * MINUTE_MS, min: 10 * MINUTE_MS, max: 30 * 24 * 60 * MINUTE_MS },
  ),
  ...bandLimit('bottleNearPct', 'high', { group: 'Bottle near full', decides: BOTTLE_LEVEL, scale: PERCENT }),
  ...bandLimit('bottleFullPct', 'high', { group: 'Bottle full', decides: BOTTLE_LEVEL, scale: PERCENT }),
  oneLimit(
    'bottleMissing.closedMs',
    { group: 'Bottle', title: 'Missing while closed, told after', decides: ['bottleMissing'] },
    MINUTES,
  ),
  oneLimit(
    'bottleMissing.openMs',
    { group: 'Bottle', title: 'Missing while open, told after', decides: ['bottleMissing'] },
    MINUTES,
  ),
  oneLimit(
    'bottleLosing.gramsPerHour',
    { group: 'Bottle', title: 'Losing weight, in an hour', decides: ['bottleLosingWeight'] },
    { unit: 'g', per: 1, min: 1, max: 100_000 },
  ),
  oneLimit(
    'wasteOwed.grams',
    { group: 'Bottle', title: 'Waste that did not arrive', decides: ['wasteNotArriving'] },
    { unit: 'g', per: 1, min: 1, max: 100_000 },
  ),
]

/** Everything that may be tried, with its value today, in the order of the page. */
export function limitChoices({ limits }: Pick<Settings, 'limits'>): readonly LimitChoice[] {
  return LIMITS.map((own) => choiceOf(own, limits))
}

/** What may be tried under this name, or null. */
export function limitChoice(limit: string, { limits }: Pick<Settings, 'limits'>): LimitChoice | null {
  const own = LIMITS.find((l) => l.limit === limit)
  return own ? choiceOf(own, limits) : null
}

/** The conditions that this limit decides: whether and when they come up. */
export function conditionsDecidedBy(limit: string): readonly Condition[] {
  return LIMITS.find((l) => l.limit === limit)?.decides ?? []
}

function choiceOf({ decides, ...own }: Choosable, limits: Limits): LimitChoice {
  return { ...own, todayValue: readLimit(limits, own.limit), wakes: decides.some((c) => MAY_WAKE.has(c)) }
}

type Fields = Readonly<Record<string, number>>

function readLimit(limits: Limits, limit: string): number {
  const [name = '', field] = limit.split('.')
  const held = (limits as unknown as Readonly<Record<string, number | Fields>>)[name]
  const value = typeof held === 'object' && field !== undefined ? held[field] : held
  if (typeof value !== 'number') throw new RangeError(`there is no limit ${limit}`)
  return value
}

/**
 * These limits with one value replaced, and nothing else.
 *
 * TRY-1 where the level at which a condition opens is tried, its deadband goes along: the closing level keeps its
 *       distance, so that only one thing is tried at a time.
 * TRY-2 a closing level never comes to stand on the wrong side: it stops at the opening level.
 */
export function withLimit(limits: Limits, { limit, value }: LimitChange): Limits {
  const [name = '', field] = limit.split('.')
  const held = (limits as unknown as Readonly<Record<string, number | Fields>>)[name]
  const next =
    typeof held === 'object' && field !== undefined ? { ...held, ...fieldsOf(held, field, value) } : value
  return { ...limits, [name]: next }
}

function fieldsOf(held: Fields, field: string, value: number): Fields {
  const { openBelow, closeAbove, openAbove, closeBelow } = held
  if (field === 'openBelow' && openBelow !== undefined && closeAbove !== undefined)
    return { openBelow: value, closeAbove: tidy(value + closeAbove - openBelow) }
  if (field === 'openAbove' && openAbove !== undefined && closeBelow !== undefined)
    return { openAbove: value, closeBelow: tidy(value + closeBelow - openAbove) }
  if (field === 'closeAbove' && openBelow !== undefined) return { closeAbove: Math.max(value, openBelow) }
  if (field === 'closeBelow' && openAbove !== undefined) return { closeBelow: Math.min(value, openAbove) }
  return { [field]: value }
}

/** Sums of decimals as a person writes them. */
export function tidy(value: number): number {
  return Number(value.toPrecision(10))
}

/** Why this value cannot be tried, with the field that is wrong and the cure; or null. */
export function valueProblem(
  { limit, value }: LimitChange,
  { limits }: Pick<Settings, 'limits'>,
): string | null {
  const own = LIMITS.find((l) => l.limit === limit)
  if (!own) return `limit: there is nothing to try under ${limit}: choose one of GET /api/v1/reruns/limits`
  if (readLimit(limits, limit) === value)
    return 'value: this is how the limit stands today: try another value'
  if (value < own.min || value > own.max)
    return `value: between ${tidy(own.min / own.per)} and ${tidy(own.max / own.per)} ${own.unit}`
  const tried = withLimit(limits, { limit, value })
  if (readLimit(tried, limit) !== value)
    return 'value: the level at which it is well again must stand on the well side of the level at which it begins'
  const problem = limitsProblem(tried)
  return problem === null ? null : `value: ${problem}`
}

/** Why these limits cannot be used, or null. */
function limitsProblem(limits: Limits): string | null {
  const parsed = limitsSchema.safeParse(limits)
  return parsed.success ? null : parsed.error.issues.map((i) => i.message).join('; ')
}

/** Steps of the curve to either side of today's and the tried value, in halves of the distance between them. */
const HALVES = [-2, -1, 0, 1, 2, 3, 4] as const

/**
 * Values for the curve of the trade-off, smallest first: today's, the tried one, the one between, and two beyond either.
 * What must be whole stays whole; what cannot be used is left out.
 */
export function curveValues(choice: LimitChoice, triedValue: number, settings: Settings): readonly number[] {
  const { limit, todayValue, min, max } = choice
  const half = (triedValue - todayValue) / 2
  const isWhole = limit.endsWith('Ms') || limit === 'flickering.times'
  const values = HALVES.map((n) => todayValue + n * half)
    .map((v) => (isWhole ? Math.round(v) : tidy(v)))
    .map((v) => Math.min(max, Math.max(min, v)))
  return [...new Set(values)]
    .filter((value) => limitsProblem(withLimit(settings.limits, { limit, value })) === null)
    .sort((a, b) => a - b)
}

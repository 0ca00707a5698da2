import type { BottleView, InkView, MachineView, NightView } from '../../services/core/model/views.ts'

export const MIN = 60_000
export const HOUR = 60 * MIN

export interface Course {
  readonly fromMs: number
  readonly toMs: number
  readonly values: readonly number[]
}

function valueAt({ fromMs, toMs, values }: Course, atMs: number): number {
  const place = ((atMs - fromMs) / (toMs - fromMs)) * (values.length - 1)
  const a = values[Math.floor(place)] ?? 0
  const b = values[Math.ceil(place)] ?? a
  return a + (b - a) * (place % 1)
}

const tenths = (value: number): number => Math.round(value * 10) / 10

/** A run through the values, one point every five minutes, with a little weather that is the same each time. */
export function runThrough(course: Course, sway = 0): [number, number][] {
  const run: [number, number][] = []
  for (let atMs = course.fromMs; atMs < course.toMs; atMs += 5 * MIN) {
    const weather = sway * Math.sin(run.length / 3) * Math.cos(run.length / 7)
    run.push([atMs, tenths(valueAt(course, atMs) + weather)])
  }
  return run
}

/** A forecast through the values, one point each half hour, its band opening to `spread` on either side. */
export function bandThrough(course: Course, spread: number): [number, number, number, number][] {
  const band: [number, number, number, number][] = []
  for (let atMs = course.fromMs; ; atMs = Math.min(atMs + 30 * MIN, course.toMs)) {
    const middle = valueAt(course, atMs)
    const open = spread * Math.sqrt((atMs - course.fromMs) / (course.toMs - course.fromMs))
    band.push([atMs, tenths(Math.max(0, middle - open)), tenths(middle), tenths(middle + open)])
    if (atMs >= course.toMs) return band
  }
}

export function air(course: Course): MachineView['humidity'] {
  return { limitPct: 40, nowPct: course.values.at(-1) ?? null, runs: [runThrough(course, 0.6)] }
}

export function night(
  { fromMs, toMs, values }: Course,
  { spread, days = 24, basis = 'paths' }: { spread: number; days?: number; basis?: NightView['basis'] },
): NightView {
  return {
    madeMs: fromMs,
    fromMs,
    toMs,
    basis,
    days,
    humidityPct: bandThrough({ fromMs, toMs, values }, spread),
  }
}

/** One ink: its drying in percent of a limit of 100 kPa h (colour) or 60 (white). */
export function ink(
  kind: InkView['ink'],
  { past, ahead, spread = 0 }: { past: Course; ahead?: Course; spread?: number },
  rest: Partial<InkView> = {},
): InkView {
  const limitKpaH = kind === 'white' ? 60 : 100
  const usedPct = past.values.at(-1) ?? 0
  return {
    channelGroupId: kind,
    headTitle: 'Head 1',
    title: kind === 'white' ? 'White' : 'Colour',
    ink: kind,
    doseKpaH: tenths((usedPct * limitKpaH) / 100),
    limitKpaH,
    usedPct,
    basis: 'seen',
    lastWettedMs: past.fromMs,
    words: usedPct < 50 ? 'Fresh.' : 'Drying.',
    runs: [runThrough(past)],
    ahead: ahead ? bandThrough(ahead, spread) : [],
    passesLimit: ahead ? passes(bandThrough(ahead, spread)) : null,
    probabilityBeforeOpening: ahead ? 0 : null,
    ...rest,
  }
}

/** When a forecast first passes 100 %: its upper edge first, its lower edge last. */
function passes(band: InkView['ahead']): NonNullable<InkView['passesLimit']> {
  const first = (edge: 1 | 2 | 3): number | null => band.find((point) => point[edge] >= 100)?.[0] ?? null
  return { earliestMs: first(3), likelyMs: first(2), latestMs: first(1) }
}

export function bottle(
  id: string,
  { past, ahead }: { past: Course; ahead?: Course },
  rest: Partial<BottleView> = {},
): NonNullable<MachineView['bottle']> {
  const fillPct = past.values.at(-1) ?? 0
  return {
    id,
    title: `Waste bottle ${id}`,
    fillPct,
    volumeMl: fillPct * 20,
    capacityMl: 2000,
    nearPct: 80,
    fullPct: 95,
    sharedBy: [],
    standing: 'onTheScale',
    ahead: ahead ? bandThrough(ahead, 1.5) : [],
    reachesFull: null,
    probabilityBeforeOpening: ahead ? 0 : null,
    newTareKg: null,
    runs: [runThrough(past)],
    ...rest,
  }
}

type MachineRest = Pick<MachineView, 'standing' | 'sentence' | 'evidence' | 'humidity' | 'power' | 'bottle'> &
  Partial<MachineView>

export function machine(id: string, title: string, rest: MachineRest): MachineView {
  return {
    id,
    title,
    roomTitle: 'Print floor',
    action: null,
    alarm: null,
    otherAlarms: 0,
    cleanings: [],
    cap: 'capped',
    servicedUntilMs: null,
    outOfService: false,
    inks: [],
    night: null,
    why: null,
    ...rest,
  }
}

export type PowerState = MachineView['power']['now']

/** States one after the other, each with when it began. */
export function powerSpans(
  states: readonly (readonly [fromMs: number, state: PowerState])[],
  toMs: number,
): MachineView['power']['spans'] {
  return states.map(([fromMs, state], at) => ({ fromMs, toMs: states[at + 1]?.[0] ?? toMs, state }))
}

import { createShopPlan } from '../../sensors/simulator/create-shop-plan.ts'
import { createShopStory } from '../../sensors/simulator/create-shop-story.ts'
import { createSimulatedShop, type SimulatedShop } from '../../sensors/simulator/create-shop.ts'
import type { Incident } from '../../sensors/simulator/incident.ts'
import type { ShopPlan } from '../../sensors/simulator/plan-kinds.ts'
import type { ShopRanges } from '../../sensors/simulator/plan-ranges.ts'
import { learnNightly } from '../../services/core/learn/nightly.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { Reading } from '../../services/core/model/input.ts'
import { openingCalendar, type OpeningCalendar } from '../../services/core/model/opening-hours.ts'
import { settingsInput } from '../parts/kernel-run.ts'
import { watchForecasts, type FillForecast } from './bottle-forecasts.ts'
import { watchHeads, type DryForecast } from './head-forecasts.ts'
import { createMemorySeries, type MemorySeries } from './memory-series.ts'
import { createShopPeople } from './shop-people.ts'
import { createShopTruth } from './shop-truth.ts'
import type { ConditionTruth } from './span-recorder.ts'
import { createWatchedKernel, type Call, type WatchedKernel } from './watched-kernel.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
/** From the sensor to the monitor; then people act, and then it learns: each at its own time, so that nothing is late. */
const UNDERWAY_MS = 1_000
const ACTS_AFTER_MS = 1_500
const LEARNS_AFTER_MS = 2_000
/** Calm days at the beginning, in which the product learns the shop; nothing is scored. */
export const WARM_UP_DAYS = 15
const LEARNS_AT = 12 * HOUR
/** Power bands move little once they are known; to learn everything every day would only cost time. */
const EVERY_DAY_UNTIL = 8
const EVERY_DAYS = 3

/** A shop and its story: what is simulated, and from when it is scored. */
export interface ShopStory {
  readonly seed: number
  readonly plan: ShopPlan
  readonly incidents: readonly Incident[]
  readonly startMs: number
  readonly scoredMs: number
  readonly endMs: number
}

export interface LivedShop {
  readonly story: ShopStory
  readonly calendar: OpeningCalendar
  readonly truth: readonly ConditionTruth[]
  readonly episodes: readonly Episode[]
  readonly calls: readonly Call[]
  readonly fillForecasts: readonly FillForecast[]
  readonly dryForecasts: readonly DryForecast[]
  readonly machineMonths: number
  readonly readings: number
}

export function drawStory(
  seed: number,
  ranges: ShopRanges,
  days: number,
  warmUpDays: number = WARM_UP_DAYS,
): ShopStory {
  const plan = createShopPlan(seed, ranges)
  const [from, to] = ranges.start
  const startMs =
    from + Math.floor((((seed - ranges.firstSeed) * 0.618_033_988_75) % 1) * ((to - from) / DAY)) * DAY
  const scoredMs = startMs + warmUpDays * DAY
  const endMs = scoredMs + days * DAY
  const incidents = createShopStory({ seed, plan, ranges, span: { fromMs: scoredMs, toMs: endMs } })
  return { seed, plan, incidents, startMs, scoredMs, endMs }
}

/** Lets the real kernel live through a simulated shop, minute by minute, and keeps what was true and what it found. */
export function liveShop(story: ShopStory): LivedShop {
  const { seed, plan, incidents, startMs, scoredMs, endMs } = story
  const calendar = openingCalendar(plan.settings)
  const shop = createSimulatedShop({ seed, plan, startMs, incidents })
  const kernel = createWatchedKernel()
  const truth = createShopTruth({ plan, incidents, calendar, startMs, learnedMs: scoredMs })
  const people = createShopPeople(plan, incidents, { calendar, startMs })
  const past = createMemorySeries()
  const forecasts = watchForecasts(story, kernel)
  const heads = watchHeads(story, kernel, calendar)
  let readings = 0
  kernel.take(settingsInput(plan.settings, startMs))
  for (let atMs = startMs + MINUTE; atMs <= endMs; atMs += MINUTE) {
    shop.advanceTo(atMs, { cadenceMs: MINUTE })
    const now = shop.look()
    const measured = readingsOf(shop, past)
    readings += measured.length
    const receivedMs = atMs + UNDERWAY_MS
    kernel.wakeThrough(receivedMs)
    if (measured.length > 0) {
      kernel.take({ type: 'readings', atMs, receivedMs, nodeId: 'bench', readings: measured })
    }
    truth.look(now, people.said)
    for (const act of people.actsAt(now, atMs + ACTS_AFTER_MS)) kernel.take(act)
    if (atMs % DAY === LEARNS_AT) learn(kernel, past, (atMs - startMs) / DAY, atMs + LEARNS_AFTER_MS)
    forecasts.look(now)
    heads.look(now, truth.crossings)
  }
  const machineMonths = (plan.machines.length * (endMs - scoredMs)) / (30 * DAY)
  return {
    story,
    calendar,
    truth: truth.finish(endMs),
    episodes: kernel.episodes(),
    calls: kernel.calls(),
    fillForecasts: forecasts.scored(),
    dryForecasts: heads.scored(),
    machineMonths,
    readings,
  }
}

function readingsOf(shop: SimulatedShop, past: MemorySeries): Reading[] {
  const readings: Reading[] = []
  for (const { nodeId, samples } of shop.takeSamples()) {
    for (const { channel, quantity, value, atMs } of samples) {
      const reading = { sensorId: `${nodeId}/${channel}`, quantity, atMs, value: Number(value) }
      readings.push(reading)
      past.keep(reading)
    }
  }
  return readings.sort((a, b) => (a.sensorId < b.sensorId ? -1 : 1))
}

/** The nightly round as the monitor makes it; the owner is taken to accept at once what waits for that. */
function learn(kernel: WatchedKernel, past: MemorySeries, day: number, nowMs: number): void {
  const dayNumber = Math.floor(day)
  if (dayNumber > EVERY_DAY_UNTIL && dayNumber % EVERY_DAYS !== 0) return
  const { settings, plan, learned } = kernel.state()
  const { calendar } = plan
  const lessons = learnNightly({ settings, calendar, inForce: learned, series: past.series, nowMs })
  for (const lesson of lessons) {
    const value = { ...lesson.learned, toMs: nowMs }
    kernel.take({
      type: 'learned',
      atMs: nowMs,
      receivedMs: nowMs,
      learned: value,
      waiting: false,
      act: null,
    })
  }
}

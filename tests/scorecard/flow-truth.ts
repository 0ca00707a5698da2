import type { BottlePlan } from '../../sensors/simulator/plan-kinds.ts'
import type { BottleNow, ShopNow } from '../../sensors/simulator/shop-now.ts'
import type { BottleTruthParts } from './bottle-truth.ts'
import { watchingOf } from './machine-truth.ts'
import type { Level } from './span-recorder.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
/** A leak of this many limits an hour for this long is sure to show; one of some g an hour within most of a day. */
const SURE_STREAM = 1.3
const STREAM_SHOWS_AFTER = 90 * MINUTE
const SURE_LEAK_A_DAY = 2.4
const LEAK_SHOWS_AFTER = 16 * HOUR
const OVER_FOR = DAY
/** The monitor counts nine tenths of a usual cleaning, an hour after it where machines share a bottle. */
const OWED_SURELY = 1.5
const OWED_MAYBE = 0.5
const COUNTED_AFTER = 70 * MINUTE
/**
 * Filled to what it holds, less what tare and scale may err, a bottle runs over: its scale cannot tell waste that does not
 * come from waste that does not stay, and what a person must hear then is that it is full.
 */
const MAY_RUN_OVER_PCT = 98

/** What truly leaked from a bottle, and what of its machines' waste did not reach it. */
export function createFlowTruth(bottle: BottlePlan, parts: BottleTruthParts) {
  const { plan, incidents, faults, recorder, learnedMs } = parts
  const { limits, sensors } = { limits: plan.settings.limits, sensors: plan.sensors }
  const subject = `bottle:${bottle.id}`
  const scaleIds = sensors.filter((s) => s.subjectId === bottle.id).map((s) => s.id)
  const leaks = incidents.filter((i) => i.kind === 'leak' && i.subjectId === bottle.id)
  const poured = incidents.filter((i) => i.kind === 'bottleLevel' && i.subjectId === bottle.id)
  const things = incidents.filter((i) => i.kind === 'onScale' && i.subjectId === bottle.id)
  const machines = watchingOf(plan).filter((w) => w.machine.bottleId === bottle.id)
  const blocks = incidents.filter(
    (i) => i.kind === 'lineBlocked' && machines.some((w) => w.machine.id === i.subjectId),
  )
  const machineIds = machines.flatMap((w) => w.sensorIds)
  const cleaningBefore = new Map<string, boolean>()
  let owedG = 0
  let maybeUntilMs = -Infinity

  const noteLeak = ({ contentsKg, lifted }: BottleNow, atMs: number): void => {
    const leak = leaks.find((i) => atMs >= i.fromMs && atMs < i.toMs + OVER_FOR)
    const { gramsPerHour, gramsPerDay } = limits.bottleLosing
    const rate = leak && atMs < leak.toMs && contentsKg > 0.005 && !lifted ? (leak.value ?? 0) : 0
    const stream = rate > SURE_STREAM * gramsPerHour
    const slow = rate * 24 > SURE_LEAK_A_DAY * gramsPerDay
    const thing = things.some((i) => atMs >= i.fromMs && atMs < i.toMs + 90 * MINUTE)
    // Who pours some out takes it from the bottle; who pours in hides for a day what leaks.
    const byHand = poured.some((i) => atMs >= i.fromMs && atMs < i.fromMs + OVER_FOR)
    const level: Level = thing || byHand ? 1 : stream || slow ? 2 : leak ? 1 : 0
    const delayMs = stream ? HOUR : LEAK_SHOWS_AFTER
    const slackMs = stream ? STREAM_SHOWS_AFTER - HOUR : HOUR
    recorder.note({ condition: 'bottleLosingWeight', subject }, faults.seen(level, scaleIds, atMs), {
      atMs,
      delayMs,
      slackMs,
    })
  }
  const noteOwed = (now: ShopNow, { lifted, fillPct }: BottleNow): void => {
    const { atMs } = now
    const block = blocks.find((i) => atMs >= i.fromMs && atMs < i.toMs)
    for (const { machine } of machines) {
      const cleaning = now.machines.get(machine.id)?.state === 'cleaning'
      const ended = (cleaningBefore.get(machine.id) ?? false) && !cleaning
      cleaningBefore.set(machine.id, cleaning)
      if (!ended) continue
      if (block?.subjectId === machine.id) owedG += machine.cleaningMl * bottle.densityKgPerL
    }
    if (lifted || !block) owedG = 0
    // What arrives in a bottle that leaks does not stay there, so either may be said of it.
    const leaking = leaks.some((i) => atMs >= i.fromMs && atMs < i.toMs)
    if (block || lifted || leaking) maybeUntilMs = atMs + 12 * HOUR
    const { grams } = limits.wasteOwed
    const sees = machines.length === 1 && machines[0]?.seesCleanings === true && atMs >= learnedMs
    const told = owedG > OWED_SURELY * grams && fillPct < MAY_RUN_OVER_PCT
    const sure = told && sees && !faults.blind(machineIds, atMs)
    const level: Level = sure
      ? 2
      : atMs < maybeUntilMs && (block || leaks.length > 0 || owedG > OWED_MAYBE * grams)
        ? 1
        : 0
    recorder.note({ condition: 'wasteNotArriving', subject }, faults.seen(level, scaleIds, atMs), {
      atMs,
      delayMs: 0,
      slackMs: COUNTED_AFTER,
    })
  }

  return (now: ShopNow, state: BottleNow): void => {
    noteLeak(state, now.atMs)
    noteOwed(now, state)
  }
}

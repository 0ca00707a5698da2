import type { Reading } from '../model/input.ts'
import { changeState, type PowerFacts, type PowerState, type ReportPower } from './power-facts.ts'
import { levelOf, type LevelBands, type PowerLevel } from './power-rule.ts'
import {
  clearRun,
  extendRun,
  isCleaning,
  isRunOver,
  isRunSure,
  isRunThin,
  isTooLongToClean,
  lengthenRun,
  LEVELS,
} from './power-runs.ts'

/** How quickly the usual interval of a meter follows what it does; a reading stands for at most so many of them. */
const INTERVAL_WEIGHT = 0.1
const COVERS_INTERVALS = 2
/** Longer without a reading, and what went on meanwhile is not known: whatever was under way is cut. */
const GAP_MS = 75_000
const GAP_INTERVALS = 3

/** The meter of a machine that is on says how much it draws. */
export function takeLevel(facts: PowerFacts, reading: Reading, bands: LevelBands, report: ReportPower): void {
  const { meter } = facts
  const { atMs, value } = reading
  if (meter.atMs !== null && atMs <= meter.atMs) return
  const coveredMs = coveredOf(facts, atMs, report)
  endRuns(facts, atMs, { bands, report })
  extendLevel(facts, { atMs, value, coveredMs }, { bands, report })
  meter.atMs = atMs
  meter.powerW = value
  meter.coveredMs = coveredMs
  decide(facts, atMs, bands, report)
}

/** How long before it the reading stands for. Notes how often the meter reports, and cuts what a gap interrupts. */
function coveredOf(facts: PowerFacts, atMs: number, report: ReportPower): number {
  const { meter } = facts
  if (meter.atMs === null) return 0
  const sinceMs = atMs - meter.atMs
  if (meter.intervalMs === 0) meter.intervalMs = sinceMs
  const gap = sinceMs > Math.max(GAP_MS, GAP_INTERVALS * meter.intervalMs)
  const longestMs = COVERS_INTERVALS * meter.intervalMs
  meter.intervalMs += INTERVAL_WEIGHT * (Math.min(sinceMs, longestMs) - meter.intervalMs)
  if (!gap) return Math.min(sinceMs, longestMs)
  cutRuns(facts, report)
  return 0
}

interface Judged {
  readonly bands: LevelBands
  readonly report: ReportPower
}

interface Measured {
  readonly atMs: number
  readonly value: number
  readonly coveredMs: number
}

/** The reading goes to the run of its level. An average over an edge of a cleaning gives the cleaning its part. */
function extendLevel(
  facts: PowerFacts,
  { atMs, value, coveredMs }: Measured,
  { bands, report }: Judged,
): void {
  const { meter, runs } = facts
  const { cleaning } = runs
  const level = levelIn(facts, value, bands)
  if (isRunThin(runs[level], atMs, coveredMs)) endRun(facts, level, { bands, report })
  if (level === 'cleaning') {
    const begins = cleaning.fromMs === null && meter.atMs !== null
    const stoodMs = coveredMs + (begins ? partOfCleaning(meter.powerW, bands) * meter.coveredMs : 0)
    extendRun(cleaning, atMs, stoodMs)
    return
  }
  if (cleaning.fromMs !== null && cleaning.lastMs === meter.atMs) {
    lengthenRun(cleaning, partOfCleaning(value, bands) * coveredMs)
  }
  extendRun(runs[levelIn(facts, value, bands)], atMs, coveredMs)
}

/** The level of a reading; a heater on top of a print that is under way stands above the band and belongs to it. */
function levelIn({ runs }: PowerFacts, powerW: number, bands: LevelBands): PowerLevel {
  const above = bands.printingW !== null && powerW > bands.printingW[1] && runs.printing.fromMs !== null
  const level = levelOf(powerW, bands)
  return above && level === 'between' ? 'printing' : level
}

/** Which part of an average between rest and cleaning was cleaning, 0 to 1. */
function partOfCleaning(powerW: number, { cleaningW, standbyW }: LevelBands): number {
  if (!cleaningW || powerW >= cleaningW[0] || powerW <= standbyW) return 0
  return (powerW - standbyW) / (Math.sqrt(cleaningW[0] * cleaningW[1]) - standbyW)
}

function endRuns(facts: PowerFacts, atMs: number, judged: Judged): void {
  for (const level of LEVELS) {
    if (isRunOver(level, facts.runs[level], atMs, facts.meter.intervalMs)) endRun(facts, level, judged)
  }
}

function endRun(facts: PowerFacts, level: PowerLevel, { bands, report }: Judged): void {
  const run = facts.runs[level]
  if (level === 'printing') endPrint(facts, report)
  if (level === 'cleaning' && isCleaning(run, bands, facts.meter.intervalMs)) {
    sawCleaning(facts, run.fromMs ?? run.lastMs, report)
  }
  clearRun(run)
}

function sawCleaning(facts: PowerFacts, fromMs: number, report: ReportPower): void {
  const toMs = Math.round(facts.runs.cleaning.lastMs)
  facts.lastCleaning = { fromMs: Math.round(fromMs), toMs }
  facts.cleaningsSeen++
  report({ type: 'cleaned', ...facts.lastCleaning })
}

function endPrint(facts: PowerFacts, report: ReportPower): void {
  const run = facts.runs.printing
  if (run.fromMs === null || !isRunSure('printing', run)) return
  facts.printedToMs = run.lastMs
  report({ type: 'printed', fromMs: Math.round(run.fromMs), toMs: run.lastMs })
}

/** Silence, or a fall of power: a print counts as far as it was seen, everything else is forgotten. */
export function cutRuns(facts: PowerFacts, report: ReportPower): void {
  endPrint(facts, report)
  for (const level of LEVELS) clearRun(facts.runs[level])
  facts.meter.atMs = null
}

function decide(facts: PowerFacts, atMs: number, bands: LevelBands, report: ReportPower): void {
  const { state, runs, meter } = facts
  const level = levelOfState(state)
  const tooLong =
    level === 'cleaning' && isTooLongToClean(runs.cleaning, bands.cleaningMs[1], meter.intervalMs)
  if (level !== null && runs[level].fromMs !== null && !tooLong) return
  const next = surest(facts, bands)
  if (next !== null) changeState(facts, stateOf(next), Math.round(runs[next].fromMs ?? atMs), report)
  else if (tooLong) changeState(facts, 'on', atMs, report)
}

/** Of the levels that were held long enough, the one that was seen last. */
function surest({ runs, meter }: PowerFacts, bands: LevelBands): PowerLevel | null {
  let best: PowerLevel | null = null
  for (const level of LEVELS) {
    const run = runs[level]
    const sure = level === 'cleaning' ? isCleaning(run, bands, meter.intervalMs) : isRunSure(level, run)
    if (sure && (best === null || run.lastMs > runs[best].lastMs)) best = level
  }
  return best
}

function levelOfState(state: PowerState): PowerLevel | null {
  if (state === 'on') return 'between'
  return state === 'standby' || state === 'cleaning' || state === 'printing' ? state : null
}

function stateOf(level: PowerLevel): PowerState {
  return level === 'between' ? 'on' : level
}

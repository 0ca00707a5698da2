import type { ActOrder, Order, Reading } from '../model/input.ts'
import {
  capDeadlineMs,
  fireCap,
  initialCap,
  machineWorked,
  personSaidCap,
  personSaidServicing,
  powerCame,
  powerFell,
  type CapFacts,
} from './cap.ts'
import {
  advanceDrying,
  deficitKpa,
  followInks,
  groupsOf,
  initialDrying,
  noteTrace,
  wet,
  type DryingFacts,
} from './drying.ts'
import {
  firePower,
  initialPower,
  keepPowerBound,
  powerDeadlineMs,
  stepPower,
  type PowerChange,
  type PowerFacts,
} from './power.ts'
import { cleaningsAreVisible } from './machine-power.ts'
import { powerRuleIn } from './power-rule.ts'
import { initialRecognition, noteLoggedCleaning, noteSeenCleaning, type Recognition } from './recognition.ts'
import { initialAir, keepAirBound, noteAir, type AirFacts } from './room.ts'
import type { SubjectContext, Tracker } from './tracker.ts'

const HOUR_MS = 3_600_000
/** Cleanings that the board may show: those of the last day and a little more. */
const KEPT_CLEANINGS = 24
/** What is said no later counts as said when it is done. */
const SAID_AS_DONE_MS = 30 * 60_000

/** A machine and its heads, which share its air, its power and its carriage. */
export interface MachineFacts extends AirFacts {
  power: PowerFacts
  cap: CapFacts
  drying: DryingFacts
  /** May the ink be wetted now without anybody seeing it, and where did the integral stand when that last ended? */
  unseenWetting: { possible: boolean; endedKpaH: number }
  /** Can the meter see a cleaning? Needs bands, and three readings within one. */
  cleaningsVisible: boolean
  recognition: Recognition
  /** When it last ended a cleaning or a print. */
  workedMs: number | null
  /** When it was last heard again after a silence in which it may have printed unseen. */
  maybePrintedMs: number | null
  /** How long it printed in all, as far as its meter saw, in ms. */
  printedMs: number
  cleanings: { atMs: number; basis: 'seen' | 'logged' | 'assumed' }[]
  /** The next cleaning that is assumed because it was told and cannot be seen. */
  assumedCleaningMs: number | null
  /** When unseen wetting ends by time alone, at closing. */
  closingMs: number | null
  errorSaidMs: number | null
  betweenBandsMs: number | null
  /** What it did over the last half day, for people to look at, oldest first. */
  states: { fromMs: number; state: PowerFacts['state'] }[]
}

export const machineTracker: Tracker<MachineFacts> = {
  initial: () => ({
    ...initialAir(),
    power: initialPower(),
    cap: initialCap(),
    drying: initialDrying(),
    unseenWetting: { possible: true, endedKpaH: 0 },
    cleaningsVisible: false,
    recognition: initialRecognition(),
    workedMs: null,
    maybePrintedMs: null,
    printedMs: 0,
    cleanings: [],
    assumedCleaningMs: null,
    closingMs: null,
    errorSaidMs: null,
    betweenBandsMs: null,
    states: [],
  }),
  onReading: (facts, reading, context) => {
    if (reading.quantity === 'humidity' || reading.quantity === 'temperature') {
      noteAir(facts, reading, context)
      setRate(facts, reading.atMs, context)
    } else if (reading.quantity === 'power' || reading.quantity === 'powered') {
      notePower(facts, reading, context)
    }
  },
  onOrder: (facts, order, context) => {
    if (order.type === 'settings' || order.type === 'learned') followSettings(facts, order, context)
    else takeAct(facts, order, context)
    setUnseen(facts, order.atMs, context)
    setRate(facts, order.atMs, context)
  },
  deadlineMs: (facts, context) =>
    Math.min(
      powerDeadlineMs(facts.power, context),
      capDeadlineMs(facts.cap),
      facts.assumedCleaningMs ?? Infinity,
      facts.closingMs ?? Infinity,
    ),
  onDeadline: (facts, atMs, context) => {
    if (powerDeadlineMs(facts.power, context) <= atMs) {
      takeChanges(facts, context, (report) => firePower(facts.power, atMs, context, report))
    }
    fireCap(facts.cap, atMs)
    if (facts.assumedCleaningMs !== null && facts.assumedCleaningMs <= atMs)
      assumeCleaning(facts, atMs, context)
    setUnseen(facts, atMs, context)
    setRate(facts, atMs, context)
  },
}

function notePower(facts: MachineFacts, reading: Reading, context: SubjectContext): void {
  const rule = powerRuleIn(context)
  const changed = takeChanges(facts, context, (report) =>
    stepPower(facts.power, reading, rule, context, report),
  )
  const visible = cleaningsAreVisible(facts.power, context)
  if (!changed && visible === facts.cleaningsVisible) return
  facts.cleaningsVisible = visible
  planAssumedCleaning(facts, reading.atMs, context)
  noteBetweenBands(facts, reading.atMs, context)
  setUnseen(facts, reading.atMs, context)
  setRate(facts, reading.atMs, context)
}

/** Lets `step` report what changed of the power, then follows it. Says whether anything did. */
function takeChanges(
  facts: MachineFacts,
  context: SubjectContext,
  step: (report: (change: PowerChange) => void) => void,
): boolean {
  const changes: PowerChange[] = []
  step((change) => changes.push(change))
  for (const change of changes) takePowerChange(facts, change, context)
  return changes.length > 0
}

function takePowerChange(facts: MachineFacts, change: PowerChange, context: SubjectContext): void {
  switch (change.type) {
    case 'cleaned':
      sawCleaning(facts, change.toMs, context)
      break
    case 'printed':
      facts.workedMs = change.toMs
      facts.printedMs += change.toMs - change.fromMs
      facts.errorSaidMs = null
      machineWorked(facts.cap, change.toMs)
      wetAll(facts, { atMs: change.toMs, basis: 'seen', moves: true }, context)
      break
    case 'powerFell':
      facts.assumedCleaningMs = null
      powerFell(facts.cap, change.atMs, change.during === 'printing')
      break
    case 'powerCame':
      facts.workedMs = change.atMs
      powerCame(facts.cap, change.atMs)
      planAssumedCleaning(facts, change.atMs, context)
      break
    case 'stateChanged':
      if (change.from === 'unknown') heardAgain(facts, change.atMs, context)
      noteState(facts, change.atMs, change.to)
      break
  }
}

/** A print that is worth the name takes longer. A starting value. */
const LEAST_PRINT_MS = 10 * 60_000

/**
 * What the machine did while nobody heard it is not known: its next cleaning is awaited from here. So is its next print,
 * after a silence that was long enough for one and in which somebody may have been there to print.
 */
function heardAgain(facts: MachineFacts, atMs: number, { calendar }: SubjectContext): void {
  facts.workedMs = atMs
  const silentFromMs = facts.states.at(-1)?.fromMs ?? atMs
  const openingMs = calendar.isOpenAt(silentFromMs)
    ? silentFromMs
    : (calendar.nextOpeningAfter(silentFromMs) ?? silentFromMs)
  if (openingMs < atMs && atMs - silentFromMs >= LEAST_PRINT_MS) facts.maybePrintedMs = atMs
}

const STATES_KEPT_MS = 12.5 * HOUR_MS
const MOST_STATES = 150

function noteState({ states }: MachineFacts, atMs: number, state: PowerFacts['state']): void {
  states.push({ fromMs: atMs, state })
  // The one that reaches into the window stays.
  while (states.length > MOST_STATES || (states[1]?.fromMs ?? atMs) < atMs - STATES_KEPT_MS) states.shift()
}

function sawCleaning(facts: MachineFacts, atMs: number, context: SubjectContext): void {
  facts.workedMs = atMs
  facts.errorSaidMs = null
  machineWorked(facts.cap, atMs)
  noteCleaningAt(facts, atMs, 'seen')
  noteSeenCleaning(facts.recognition, atMs)
  wetAll(facts, { atMs, basis: 'seen', moves: false }, context)
}

function noteCleaningAt(facts: MachineFacts, atMs: number, basis: 'seen' | 'logged' | 'assumed'): void {
  facts.cleanings.push({ atMs, basis })
  if (facts.cleanings.length > KEPT_CLEANINGS) facts.cleanings.shift()
}

function wetAll(
  facts: MachineFacts,
  wetting: { atMs: number; basis: 'seen' | 'logged' | 'assumed'; moves: boolean; keeps?: number },
  { settings, subject }: SubjectContext,
): void {
  const groupIds = groupsOf(settings, subject.id).map((g) => g.id)
  wet(facts.drying, { keeps: 0, ...wetting, groupIds })
}

function takeAct(facts: MachineFacts, act: ActOrder, context: SubjectContext): void {
  const { atMs } = act
  switch (act.type) {
    case 'careLogged':
      return takeCare(facts, act, context)
    case 'headChanged':
      return takeNewHead(facts, act, context)
    case 'capSaid':
      return personSaidCap(facts.cap, atMs, act.capped)
    case 'servicingSaid': {
      const { servicingMs } = context.settings.limits
      return personSaidServicing(facts.cap, atMs, { servicing: act.servicing, servicingMs })
    }
    case 'errorStopSaid':
      facts.errorSaidMs = act.stopped ? atMs : null
  }
}

function takeCare(
  facts: MachineFacts,
  { atMs, care, channelGroupIds }: Extract<ActOrder, { type: 'careLogged' }>,
  { settings, subject }: SubjectContext,
): void {
  const all = groupsOf(settings, subject.id)
  const meant = channelGroupIds.length === 0 ? all : all.filter((g) => channelGroupIds.includes(g.id))
  if (care === 'whiteStirred') {
    for (const g of meant) if (g.ink === 'white') noteMoved(facts, g.id, atMs)
    return
  }
  const keeps = care === 'partlyCleaned' ? settings.limits.partialCleaningKeeps : 0
  const moves = care === 'printed'
  wet(facts.drying, { atMs, basis: 'logged', keeps, moves, groupIds: meant.map((g) => g.id) })
  if (care === 'printed') return
  noteCleaningAt(facts, atMs, 'logged')
  noteLoggedCleaning(facts.recognition, atMs)
}

/**
 * HEAD-1 a new head is filled when it is fitted (common practice, no source), so its ink counts as wetted when that is
 *        said as it is done; said later, it changes no dose, since nobody knows what the new ink went through.
 */
function takeNewHead(
  facts: MachineFacts,
  { atMs, changedMs, headId }: Extract<ActOrder, { type: 'headChanged' }>,
  { settings, subject }: SubjectContext,
): void {
  if (Math.abs(atMs - changedMs) > SAID_AS_DONE_MS) return
  const machine = settings.machines.find((m) => m.id === subject.id)
  const groupIds = machine?.heads.find((h) => h.id === headId)?.channelGroups.map((g) => g.id) ?? []
  wet(facts.drying, { atMs, basis: 'logged', keeps: 0, moves: false, groupIds })
}

function noteMoved({ drying }: MachineFacts, groupId: string, atMs: number): void {
  const ink = drying.inks[groupId]
  if (ink) ink.movedMs = atMs
}

function followSettings(facts: MachineFacts, { atMs }: Order, context: SubjectContext): void {
  keepAirBound(facts, context)
  takeChanges(facts, context, (report) => keepPowerBound(facts.power, atMs, context, report))
  advanceDrying(facts.drying, atMs)
  followInks(
    facts.drying,
    groupsOf(context.settings, context.subject.id).map((g) => g.id),
  )
  facts.cleaningsVisible = cleaningsAreVisible(facts.power, context)
  planAssumedCleaning(facts, atMs, context)
  noteBetweenBands(facts, atMs, context)
}

/**
 * ASSUME-1 where cleanings cannot be seen, the interval that the owner told is assumed while the machine is on. Such
 *          freshness is called assumed and wakes nobody.
 */
function planAssumedCleaning(facts: MachineFacts, atMs: number, context: SubjectContext): void {
  const told = context.settings.machines.find((m) => m.id === context.subject.id)?.selfCleaning
  const assumes = told?.kind === 'everyHours' && !facts.cleaningsVisible && facts.power.state !== 'off'
  if (!assumes) facts.assumedCleaningMs = null
  else facts.assumedCleaningMs ??= atMs + told.hours * HOUR_MS
}

function assumeCleaning(facts: MachineFacts, atMs: number, context: SubjectContext): void {
  facts.assumedCleaningMs = null
  planAssumedCleaning(facts, atMs, context)
  if (facts.assumedCleaningMs === null) return
  noteCleaningAt(facts, atMs, 'assumed')
  wetAll(facts, { atMs, basis: 'assumed', moves: false }, context)
}

/** Follows rules FRESH-1 to FRESH-3 (see `certain-dose.ts`). */
function setUnseen(facts: MachineFacts, atMs: number, { settings, subject, calendar }: SubjectContext): void {
  const { unseenWetting, power, cleaningsVisible } = facts
  const told = settings.machines.find((m) => m.id === subject.id)?.selfCleaning.kind
  const open = calendar.isOpenAt(atMs)
  const may = !cleaningsVisible && power.state !== 'off' && (told !== 'no' || open)
  advanceDrying(facts.drying, atMs)
  if (may || unseenWetting.possible) unseenWetting.endedKpaH = facts.drying.integralKpaH
  unseenWetting.possible = may
  facts.closingMs = told === 'no' && !cleaningsVisible ? calendar.nextChangeAfter(atMs) : null
}

/**
 * RATE-1 the dose grows with the deficit of the room's air, times the exposure factor of a head on or off its cap.
 * RATE-2 it does not grow while the machine prints: ink moves through the nozzles.
 * RATE-3 while the air is not known the last known deficit goes on.
 */
function setRate(facts: MachineFacts, atMs: number, { settings }: SubjectContext): void {
  const { drying, cap, power } = facts
  advanceDrying(drying, atMs)
  const deficit = deficitKpa(facts)
  if (deficit === null) return
  const factor =
    cap.state === 'capped' ? settings.limits.exposureFactor.capped : settings.limits.exposureFactor.uncapped
  drying.rateKpa = power.state === 'printing' ? 0 : deficit * factor
  noteTrace(drying, atMs)
}

function noteBetweenBands(facts: MachineFacts, atMs: number, context: SubjectContext): void {
  const between = facts.power.state === 'on' && powerRuleIn(context).bandsFrom !== 'startingValues'
  if (!between) facts.betweenBandsMs = null
  else facts.betweenBandsMs ??= atMs
}

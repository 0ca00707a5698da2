import type { MachineView, WhyView } from '../../services/core/model/views.ts'
import { inventedAlarms, inventedPutAway } from './invented-alarms.ts'
import { air, bottle, HOUR, ink, machine, MIN, night, powerSpans, type Course } from './invented-courses.ts'

/** The span that a machine is shown over: twelve hours back, and on to the next opening. */
export interface Shown {
  readonly nowMs: number
  readonly openingMs: number
}

const past = ({ nowMs }: Shown, values: readonly number[]): Course => ({
  fromMs: nowMs - 12 * HOUR,
  toMs: nowMs,
  values,
})
const ahead = ({ nowMs, openingMs }: Shown, values: readonly number[]): Course => ({
  fromMs: nowMs,
  toMs: openingMs,
  values,
})

const WELL_WHY: WhyView = {
  rule: 'Ink counts as drying when its drying dose since it was last wetted passes its limit.',
  numbers: [
    { label: 'Colour', value: '9 kPa h of 100' },
    { label: 'White', value: '13 kPa h of 60' },
  ],
  limitFrom: 'Starting value (common practice, no source).',
}

/** Lost its power in the middle of a print: the head stands open, and both inks pass their limits within hours. */
export function uncapped(shown: Shown): MachineView {
  const { nowMs } = shown
  const { alarm, why } = inventedAlarms(nowMs).offItsCap
  const lostMs = nowMs - 22 * MIN
  // Fresh until the power went, then steep: one value each 22 minutes.
  const dry = (steep: readonly number[]): Course => {
    const before = Array.from({ length: 32 }, (_, i) => (steep[1] ?? 0) * ((i % 14) / 28))
    return { fromMs: lostMs - 32 * 22 * MIN, toMs: nowMs, values: [...before, ...steep] }
  }
  return machine('roll', 'Roll 60, left bench', {
    standing: 'actNow',
    sentence: `${alarm.title}.`,
    evidence: alarm.cause,
    action: {
      label: 'Bring the head of Roll 60, left bench back onto its cap',
      taskId: 'task|offItsCap|machine:roll',
    },
    alarm,
    why,
    humidity: air(past(shown, [52, 55, 53, 50, 47, 45])),
    night: night(ahead(shown, [45, 43, 42, 43, 45]), { spread: 3 }),
    cap: 'probablyUncapped',
    cleanings: [
      { atMs: nowMs - 11 * HOUR, basis: 'seen' },
      { atMs: nowMs - 5 * HOUR, basis: 'seen' },
    ],
    inks: [
      ink(
        'colour',
        { past: dry([2, 25]), ahead: ahead(shown, [25, 260, 500]), spread: 90 },
        { passesLimit: at(nowMs, 85, 105, 130), probabilityBeforeOpening: 1 },
      ),
      ink(
        'white',
        { past: dry([4, 42]), ahead: ahead(shown, [42, 430, 830]), spread: 140 },
        { passesLimit: at(nowMs, 30, 42, 55), probabilityBeforeOpening: 1 },
      ),
    ],
    power: {
      now: 'off',
      bandsFrom: 'learned',
      spans: powerSpans(
        [
          [nowMs - 12 * HOUR, 'standby'],
          [nowMs - 11 * HOUR, 'cleaning'],
          [nowMs - 10.8 * HOUR, 'printing'],
          [nowMs - 7 * HOUR, 'standby'],
          [nowMs - 5 * HOUR, 'cleaning'],
          [nowMs - 4.8 * HOUR, 'standby'],
          [nowMs - 2.5 * HOUR, 'printing'],
          [lostMs, 'off'],
        ],
        nowMs,
      ),
    },
    bottle: bottle('roll-waste', { past: past(shown, [56, 58, 60, 62]), ahead: ahead(shown, [62, 63]) }),
  })
}

/** Well: it waits, cleans itself every few hours, and stays under its limits all night. */
export function calm(shown: Shown): MachineView {
  const { nowMs } = shown
  const saw = [0, 3, 6, 9, 1, 4, 7, 10, 1, 4, 7, 9]
  return machine('window', 'Sheet A3, window', {
    standing: 'well',
    sentence: 'All is well.',
    evidence: 'Air at 45 %RH, waiting, white ink at 22 % of its drying limit, bottle at 31 %.',
    why: WELL_WHY,
    humidity: air(past(shown, [52, 55, 53, 50, 47, 45])),
    night: night(ahead(shown, [45, 43, 42, 43, 45]), { spread: 3 }),
    cleanings: [9.5, 6, 2.5].map((h) => ({ atMs: nowMs - h * HOUR, basis: 'seen' as const })),
    inks: [
      ink('colour', { past: past(shown, saw), ahead: ahead(shown, [9, 15, 2, 9]), spread: 3 }),
      ink('white', {
        past: past(
          shown,
          [...saw.slice(0, -1), 11].map((v) => v * 2),
        ),
        ahead: ahead(shown, [22, 30, 35, 41]),
        spread: 9,
      }),
    ],
    power: {
      now: 'standby',
      bandsFrom: 'told',
      spans: powerSpans(
        [
          [nowMs - 12 * HOUR, 'standby'],
          [nowMs - 9.5 * HOUR, 'cleaning'],
          [nowMs - 9.3 * HOUR, 'off'],
          [nowMs - 9 * HOUR, 'standby'],
          [nowMs - 8 * HOUR, 'printing'],
          [nowMs - 6 * HOUR, 'cleaning'],
          [nowMs - 5.8 * HOUR, 'printing'],
          [nowMs - 4 * HOUR, 'standby'],
          [nowMs - 2.5 * HOUR, 'cleaning'],
          [nowMs - 2.3 * HOUR, 'standby'],
        ],
        nowMs,
      ),
    },
    bottle: bottle('window-waste', { past: past(shown, [26, 28, 30, 31]), ahead: ahead(shown, [31, 33]) }),
  })
}

/** Dry air, cleanings that nobody can see, a bottle past its mark: all of it can wait till before opening. */
export function drying(shown: Shown): MachineView {
  const { nowMs } = shown
  const { alarm, why } = inventedAlarms(nowMs).airDry
  return machine('back', 'Sheet A3, back wall', {
    roomTitle: 'Back room',
    standing: 'beforeOpening',
    sentence: `${alarm.title}.`,
    evidence: alarm.cause,
    action: { label: 'Bring the air in Back room back above 42 %RH', taskId: 'task|airDry|room:back-room' },
    alarm,
    why,
    otherAlarms: 1,
    humidity: air(past(shown, [49, 48, 46, 43, 39, 36])),
    night: night(ahead(shown, [36, 34, 33, 35, 37]), { spread: 3.5 }),
    cleanings: [10, 4].map((h) => ({ atMs: nowMs - h * HOUR, basis: 'assumed' as const })),
    inks: [
      ink(
        'colour',
        { past: past(shown, [20, 24, 2, 12, 22]), ahead: ahead(shown, [22, 44, 68]), spread: 12 },
        { basis: 'assumed', lastWettedMs: nowMs - 4 * HOUR },
      ),
      ink(
        'white',
        { past: past(shown, [30, 44, 4, 24, 48]), ahead: ahead(shown, [48, 92, 140]), spread: 22 },
        { basis: 'assumed', lastWettedMs: nowMs - 4 * HOUR },
      ),
    ],
    power: { now: 'on', bandsFrom: null, spans: powerSpans([[nowMs - 12 * HOUR, 'on']], nowMs) },
    bottle: bottle(
      'back-waste',
      { past: past(shown, [74, 78, 82, 84]), ahead: ahead(shown, [84, 87, 90]) },
      { reachesFull: at(nowMs, 22 * 60, 38 * 60, 61 * 60), probabilityBeforeOpening: 0.1 },
    ),
  })
}

/** Nobody hears it any more: nothing is known of its air, its power or its night. */
export function silent(shown: Shown): MachineView {
  const { nowMs } = shown
  const { alarm, why } = inventedAlarms(nowMs).sensorSilent
  const fromMs = nowMs - 12 * HOUR
  const run = (startMs: number, toMs: number, values: readonly number[]) =>
    air({ fromMs: startMs, toMs, values }).runs
  const lastMs = nowMs - 3 * HOUR
  return machine('corner', 'Roll 30, corner', {
    roomTitle: 'Back room',
    standing: 'unknown',
    sentence: `${alarm.title}.`,
    evidence: alarm.cause,
    alarm,
    why,
    humidity: {
      limitPct: 40,
      nowPct: null,
      runs: [
        ...run(fromMs, fromMs + 4 * HOUR, [50, 49, 48]),
        ...run(fromMs + 6 * HOUR, lastMs, [47, 46, 45]),
      ],
    },
    cap: 'unknown',
    inks: [
      ink(
        'colour',
        { past: { fromMs, toMs: nowMs, values: [4, 10, 16] } },
        { basis: 'unknown', lastWettedMs: null },
      ),
      ink(
        'white',
        { past: { fromMs, toMs: nowMs, values: [7, 17, 27] } },
        { basis: 'unknown', lastWettedMs: null },
      ),
    ],
    power: { now: 'unknown', bandsFrom: null, spans: powerSpans([[fromMs, 'on']], lastMs) },
    bottle: bottle(
      'corner-waste',
      { past: { fromMs, toMs: lastMs, values: [40, 41, 42] } },
      { fillPct: null, volumeMl: null, standing: 'unknown' },
    ),
  })
}

/** New here, three days measured, and somebody works on it. */
export function serviced(shown: Shown): MachineView {
  const { nowMs } = shown
  return machine('right', 'Roll 60, right bench', {
    standing: 'well',
    sentence: 'All is well.',
    evidence: 'Air at 45 %RH, cleaning its heads, white ink at 2 % of its drying limit.',
    why: WELL_WHY,
    humidity: air(past(shown, [52, 55, 53, 50, 47, 45])),
    night: night(ahead(shown, [45, 45]), { spread: 0, days: 3, basis: 'persistence' }),
    servicedUntilMs: nowMs + 14 * MIN,
    cleanings: [
      { atMs: nowMs - 8 * HOUR, basis: 'seen' },
      { atMs: nowMs - 26 * MIN, basis: 'logged' },
    ],
    inks: [
      ink(
        'colour',
        { past: past(shown, [8, 10, 2, 8, 1]), ahead: ahead(shown, [1, 14]) },
        { basis: 'logged' },
      ),
      ink(
        'white',
        { past: past(shown, [12, 18, 4, 14, 2]), ahead: ahead(shown, [2, 23]) },
        { basis: 'logged' },
      ),
    ],
    power: {
      now: 'cleaning',
      bandsFrom: 'startingValues',
      spans: powerSpans(
        [
          [nowMs - 12 * HOUR, 'standby'],
          [nowMs - 8 * HOUR, 'cleaning'],
          [nowMs - 7.7 * HOUR, 'printing'],
          [nowMs - 4 * HOUR, 'standby'],
          [nowMs - 40 * MIN, 'cleaning'],
        ],
        nowMs,
      ),
    },
    bottle: bottle(
      'right-waste',
      { past: past(shown, [70, 71, 72, 2, 3]), ahead: ahead(shown, [3, 5]) },
      { newTareKg: 0.262, standing: 'onTheScale' },
    ),
  })
}

/** Put away: off on purpose, its bottle on the bench. */
export function stored(shown: Shown): MachineView {
  const { nowMs } = shown
  const { alarm, why } = inventedPutAway(nowMs)
  return machine('stored', 'Sheet A4, shelf', {
    standing: 'setAside',
    sentence: `${alarm.title}.`,
    evidence: 'Out of service: waits for a part.',
    alarm,
    why,
    humidity: air(past(shown, [52, 55, 53, 50, 47, 45])),
    night: night(ahead(shown, [45, 43, 42, 43, 45]), { spread: 3 }),
    outOfService: true,
    power: { now: 'off', bandsFrom: null, spans: powerSpans([[nowMs - 12 * HOUR, 'off']], nowMs) },
    bottle: bottle(
      'stored-waste',
      { past: past(shown, [12, 12]) },
      { fillPct: null, volumeMl: null, standing: 'lifted' },
    ),
  })
}

function at(nowMs: number, earliestMin: number, likelyMin: number, latestMin: number) {
  return {
    earliestMs: nowMs + earliestMin * MIN,
    likelyMs: nowMs + likelyMin * MIN,
    latestMs: nowMs + latestMin * MIN,
  }
}

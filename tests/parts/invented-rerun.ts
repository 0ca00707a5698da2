import type { RerunOrder, RerunOutcome, RerunView } from '../../services/core/model/rerun.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { limitChoice, limitChoices, withLimit } from '../../services/core/study/rerun/limit-choices.ts'
import type { Route } from './board-server.ts'

const DAY_MS = 86_400_000
const HOUR_MS = 3_600_000

/** What came out under each value of the humidity that counts as dry, in an invented winter. */
const CURVE: readonly (readonly [value: number, warned: number, nights: number])[] = [
  [36, 1, 3],
  [37, 2, 6],
  [38, 4, 9],
  [39, 5, 17],
  [40, 5, 28],
  [41, 6, 41],
  [42, 6, 55],
]

/** A re-run of the dry-air limit, 38 instead of 40 %RH, in which all is worked out. */
export function inventedRerun(settings: Settings, nowMs: number): RerunView {
  const choice = limitChoice('airDryPct.openBelow', settings)
  if (!choice) throw new Error('the limit that is tried is gone')
  const order: RerunOrder = {
    limit: choice.limit,
    value: 38,
    fromMs: nowMs - 91 * DAY_MS,
    toMs: nowMs,
    grain: 'readings',
  }
  const [machine] = settings.machines
  const group = machine?.heads[0]?.channelGroups[0]
  const outcome = ([value, warned, nightsHeld]: (typeof CURVE)[number]): RerunOutcome => ({
    value,
    alarms: [
      { condition: 'airDry', count: nightsHeld },
      { condition: 'powerLost', count: 6 },
      { condition: 'offItsCap', count: 2 },
    ],
    nightsWoken: 4,
    wokenBeforeClog: 1,
    wokenForNothing: 2,
    wokenUnclear: 1,
    nightsHeld,
    clogs: Array.from({ length: 7 }, (_, i) => ({
      machineId: machine?.id ?? '',
      channelGroupId: group?.id ?? '',
      checkedMs: nowMs - (80 - 11 * i) * DAY_MS,
      warnedMs: i < warned ? nowMs - (80 - 11 * i) * DAY_MS - (9 + i) * HOUR_MS : null,
      warnedBy: i < warned ? 'airDry' : null,
      anyWarnedMs: i < warned + 1 ? nowMs - (80 - 11 * i) * DAY_MS - 6 * HOUR_MS : null,
    })),
    medianLeadMs: 11 * HOUR_MS,
    readings: 3_100_000,
    actsDropped: 2,
  })
  const rest = CURVE.filter(([value]) => value !== 40 && value !== 38)
  const first = CURVE.filter(([value]) => value === 40 || value === 38).reverse()
  return {
    id: 'rerun-1',
    state: 'done',
    reason: null,
    choice,
    order,
    share: 1,
    doing: 'The curve, value 7 of 7',
    startedMs: nowMs - 180_000,
    leftMs: null,
    outcomes: [...first, ...rest].map(outcome),
    values: CURVE.map(([value]) => value),
    onRecord: [
      { condition: 'airDry', count: 26 },
      { condition: 'powerLost', count: 6 },
    ],
    remarks: [
      "Within this period the limit itself stood at another value for a time, or for all of it. So what is on record differs from the re-run with today's value.",
    ],
  }
}

/** Answers about re-runs; a test moves the one that runs on by hand. */
export function rerunRoutes(nowMs: number): {
  routes: readonly Route[]
  show: (view: RerunView | null) => void
} {
  let shown: RerunView | null = null
  let isKnown = false
  const now = (settings: Settings): RerunView | null => {
    if (!isKnown) shown = inventedRerun(settings, nowMs)
    isKnown = true
    return shown
  }
  const show = (view: RerunView | null): void => {
    isKnown = true
    shown = view
  }
  const routes: readonly Route[] = [
    [
      'GET',
      /^\/reruns\/limits$/,
      ({ settings }) => ({ status: 200, body: { limits: limitChoices(settings) } }),
    ],
    ['GET', /^\/reruns\/newest$/, ({ settings }) => ({ status: 200, body: { rerun: now(settings) } })],
    [
      'POST',
      /^\/reruns$/,
      ({ settings, sent }, { call, body }) => {
        const order = JSON.parse(body) as RerunOrder
        sent.push({ call, body: order })
        const choice = limitChoice(order.limit, settings)
        if (choice)
          show({
            ...inventedRerun(settings, nowMs),
            choice,
            order,
            state: 'running',
            share: 0.3,
            leftMs: 130_000,
            outcomes: [],
            doing: 'The tried limit',
          })
        return { status: 202, body: { id: 'rerun-1' } }
      },
    ],
    ['GET', /^\/reruns\/([^/]+)$/, ({ settings }) => ({ status: 200, body: now(settings) })],
    [
      'DELETE',
      /^\/reruns\/([^/]+)$/,
      ({ settings }) => {
        const view = now(settings)
        if (view) show({ ...view, state: 'stopped', leftMs: null })
        return { status: 204 }
      },
    ],
    [
      'POST',
      /^\/reruns\/([^/]+)\/use$/,
      (state, { call, body }) => {
        const { value } = JSON.parse(body) as { value: number }
        const limit = now(state.settings)?.choice.limit ?? ''
        state.sent.push({ call, body: { value } })
        state.settings = { ...state.settings, limits: withLimit(state.settings.limits, { limit, value }) }
        return { status: 204 }
      },
    ],
  ]
  return { routes, show }
}

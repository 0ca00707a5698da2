import { afterEach, describe, expect, it } from 'vitest'
import type { CheckReason } from '../../../../../../services/core/model/act.ts'
import type { InputBody, Reading } from '../../../../../../services/core/model/input.ts'
import type { RerunOutcome } from '../../../../../../services/core/model/rerun.ts'
import { alarmsOnRecord, rerunSpan, rerunWith } from '../../../../../../services/core/study/rerun/rerun.ts'
import { liveThrough, packInput, settingsInput, type Arrival } from '../../../../../parts/kernel-run.ts'
import { createPastBench, type PastBench } from '../../../../../parts/past-bench.ts'
import { testSettings } from '../../../../../parts/shop-settings.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const DAY = 24 * HOUR
/** Monday 23 November 2026, 12:00 in Brussels; the shop closes at 18:00 and opens at 08:30. */
const NOON = Date.parse('2026-11-23T11:00:00Z')
const END = NOON + 3 * DAY

const bench = createPastBench()
afterEach(() => bench.closeAll())

/** Days after the Monday, and the time on the shop's clock. */
function at(day: number, hour: number, minute = 0): number {
  return NOON + day * DAY + (hour - 12) * HOUR + minute * MIN
}

const act = (atMs: number) => ({ actorId: 'ana', via: 'phone' as const, atMs })
const stamp = (atMs: number) => ({ atMs, receivedMs: atMs, act: act(atMs) })

function check(atMs: number, missingNozzles: number, reason: CheckReason = 'routine'): InputBody {
  const missing = missingNozzles === 0 ? [] : [{ channelGroupId: 'roll-colour', missingNozzles }]
  return { type: 'nozzleCheckLogged', ...stamp(atMs), machineId: 'roll', reason, missing }
}

/** A past of three nights, a reading a minute. */
function live({
  readings,
  acts = [],
}: {
  readings: (atMs: number) => readonly Omit<Reading, 'atMs'>[]
  acts?: readonly InputBody[]
}): PastBench {
  const own = bench.open()
  const used = new Set(readings(NOON).map((r) => r.sensorId))
  const settings = testSettings({ sensors: testSettings().sensors.filter((s) => used.has(s.id)) })
  const arrivals: Arrival[] = [{ receivedMs: NOON, body: settingsInput(settings, NOON) }]
  for (let atMs = NOON + MIN; atMs < END; atMs += MIN) {
    const body = packInput(
      atMs + 100,
      readings(atMs).map((r) => ({ ...r, atMs })),
    )
    arrivals.push({ receivedMs: atMs + 100, body })
  }
  arrivals.push(...acts.map((body) => ({ receivedMs: body.receivedMs, body })))
  arrivals.sort((a, b) => a.receivedMs - b.receivedMs)
  own.book.transaction(() => liveThrough(own.book, arrivals, END))
  return own
}

function run({ past }: PastBench, limit: string, value: number, fromMs = NOON): RerunOutcome {
  const span = rerunSpan(past, { fromMs, toMs: END, grain: 'readings' })
  if (!span) throw new Error('there is no past')
  return rerunWith(past, { span, limit, value })
}

const humidity = (value: number) => ({ sensorId: 'bench/humidity', quantity: 'humidity' as const, value })

/** From one to four in each night the air is this dry; else it is fine. */
function dips(values: readonly [number, number, number]): (atMs: number) => readonly Omit<Reading, 'atMs'>[] {
  return (atMs) => {
    const night = Math.floor((atMs - NOON) / DAY)
    const isDip = atMs >= at(night + 1, 1) && atMs < at(night + 1, 4)
    return [humidity(isDip ? (values[night] ?? 45) : 45)]
  }
}

const alarmsOf = (outcome: RerunOutcome, condition: string): number =>
  outcome.alarms.find((a) => a.condition === condition)?.count ?? 0

describe('a re-run of three nights', { timeout: 60_000 }, () => {
  const threeNights = () =>
    live({
      readings: dips([39.2, 38.5, 41]),
      acts: [
        check(at(0, 12, 30), 0),
        { type: 'alarmAcknowledged', ...stamp(at(1, 2)), alarmId: 'alarm-1' },
        check(at(1, 9), 0),
        check(at(2, 9), 3),
      ],
    })

  it('WARN-1 the limit decides which nights have an alarm, and whether the clog was warned of', () => {
    const past = threeNights()
    const [today, lower, lowest] = [40, 39, 38].map((value) => run(past, 'airDryPct.openBelow', value))
    if (!today || !lower || !lowest) throw new Error('not run')
    expect([today, lower, lowest].map((o) => alarmsOf(o, 'airDry'))).toEqual([2, 1, 0])
    expect([today, lower, lowest].map((o) => o.nightsHeld)).toEqual([2, 1, 0])
    expect(today.clogs).toEqual([
      {
        machineId: 'roll',
        channelGroupId: 'roll-colour',
        checkedMs: at(2, 9),
        warnedMs: at(2, 1, 10),
        warnedBy: 'airDry',
        anyWarnedMs: at(2, 1, 10),
      },
    ])
    expect(today.medianLeadMs).toBe(7 * HOUR + 50 * MIN)
    expect(lower.clogs[0]?.warnedMs).toBe(at(2, 1, 10))
    expect([lowest.clogs[0]?.warnedMs, lowest.medianLeadMs]).toEqual([null, null])
    expect([today.nightsWoken, today.readings]).toEqual([0, 3 * 24 * 60 - 1])
  })

  const clogsWith = (...acts: readonly InputBody[]) => {
    const outcome = run(live({ readings: dips([45, 45, 45]), acts }), 'airDryPct.openBelow', 38)
    return outcome.clogs.map((c) => c.checkedMs)
  }

  it('CLOG-7 as on the page Causes, a check after a cleaning or in the middle of a night finds no clog', () => {
    const clear = check(at(0, 12, 30), 0)
    expect(clogsWith(clear, check(at(1, 9), 3))).toEqual([at(1, 9)])
    expect(clogsWith(clear, check(at(1, 9), 3, 'afterCleaning'), check(at(2, 9), 3))).toEqual([])
    expect(clogsWith(clear, check(at(1, 23), 3), check(at(2, 9), 3))).toEqual([])
    // After a cleaning it is clear again, so what comes after the next night is new.
    const cleaned = [check(at(1, 9), 3), check(at(1, 10), 0, 'afterCleaning'), check(at(2, 9), 2)]
    expect(clogsWith(clear, ...cleaned)).toEqual([at(1, 9), at(2, 9)])
  })

  it('SERIES-4 as on the page Causes, of a new head nothing is known until its first check', () => {
    const change = {
      changeId: 'h',
      machineId: 'roll',
      headId: 'roll-head',
      changedMs: at(1, 8, 40),
      note: '',
    }
    const checks = [check(at(0, 12, 30), 0), check(at(1, 9), 3)]
    expect(clogsWith(...checks, { type: 'headChanged', ...stamp(at(1, 8, 40)), ...change })).toEqual([])
  })

  it('RERUN-4 an answer to an alarm that would not have been is dropped and counted', () => {
    const past = threeNights()
    expect(run(past, 'airDryPct.openBelow', 40).actsDropped).toBe(0)
    expect(run(past, 'airDryPct.openBelow', 38).actsDropped).toBe(1)
  })

  it('RERUN-3 a period that begins later has its warm-up, and counts only what is its own', () => {
    const past = threeNights()
    const tuesdayNoon = run(past, 'airDryPct.openBelow', 40, at(1, 12))
    expect(alarmsOf(tuesdayNoon, 'airDry')).toBe(1)
    expect(tuesdayNoon.clogs).toHaveLength(1)
    expect(tuesdayNoon.readings).toBe(3 * 24 * 60 - 1)
    const span = rerunSpan(past.past, { fromMs: at(1, 12), toMs: END, grain: 'readings' })
    expect(span && alarmsOnRecord(past.past, span)).toEqual([{ condition: 'airDry', count: 1 }])
    expect(rerunSpan(past.past, { fromMs: 0, toMs: NOON - DAY, grain: 'readings' })).toBeNull()
  })

  it('a narrower deadband makes many alarms of one', () => {
    const past = live({
      readings: (atMs) => {
        const isNight = atMs >= at(1, 0) && atMs < at(1, 6)
        const isLow = Math.floor((atMs - NOON) / (45 * MIN)) % 2 === 0
        return [humidity(isNight ? (isLow ? 39 : 41) : 45)]
      },
    })
    expect(alarmsOf(run(past, 'airDryPct.closeAbove', 42), 'airDry')).toBe(1)
    expect(alarmsOf(run(past, 'airDryPct.closeAbove', 40.5), 'airDry')).toBeGreaterThan(2)
  })

  /** The machine is off from 18:30 on Monday, and somebody finds its head off its cap at 19:00. */
  const uncapped = (missing: number, reason: CheckReason = 'routine') =>
    live({
      readings: (atMs) => [
        humidity(45),
        { sensorId: 'bench/temperature', quantity: 'temperature', value: 22 },
        {
          sensorId: 'bench/powered',
          quantity: 'powered',
          value: atMs >= at(0, 18, 30) && atMs < at(1, 8, 30) ? 0 : 1,
        },
      ],
      acts: [
        check(at(0, 12, 30), 0),
        {
          type: 'careLogged',
          ...stamp(at(0, 17, 50)),
          machineId: 'roll',
          care: 'cleaned',
          channelGroupIds: [],
        },
        { type: 'capSaid', ...stamp(at(0, 19)), machineId: 'roll', capped: false },
        { type: 'capSaid', ...stamp(at(0, 23)), machineId: 'roll', capped: true },
        check(at(1, 9), missing, reason),
      ],
    })

  it('the exposure factor decides whether the ink of an uncapped head dries', () => {
    const past = uncapped(2)
    const today = run(past, 'exposureFactor.uncapped', 50)
    const tried = run(past, 'exposureFactor.uncapped', 2)
    expect([today.nightsHeld, tried.nightsHeld]).toEqual([1, 0])
    expect([today.clogs[0]?.warnedBy, tried.clogs[0]?.warnedBy]).toEqual(['headWillDry', null])
    expect(tried.clogs[0]?.anyWarnedMs).not.toBeNull()
  })

  it('WOKEN-1 and WOKEN-2 a woken night came before a clog, or was for nothing, by the check after it', () => {
    const clogged = run(uncapped(2), 'exposureFactor.uncapped', 50)
    expect(clogged).toMatchObject({ nightsWoken: 1, wokenBeforeClog: 1, wokenForNothing: 0, wokenUnclear: 0 })
    bench.closeAll()
    const clear = run(uncapped(0), 'exposureFactor.uncapped', 50)
    expect(clear).toMatchObject({ nightsWoken: 1, wokenBeforeClog: 0, wokenForNothing: 1, wokenUnclear: 0 })
    expect(clear.clogs).toEqual([])
  })

  it('WOKEN-3 a clear check after a cleaning does not say what the night had done', () => {
    const outcome = run(uncapped(0, 'afterCleaning'), 'exposureFactor.uncapped', 50)
    expect(outcome).toMatchObject({ nightsWoken: 1, wokenForNothing: 0, wokenUnclear: 1 })
  })
})

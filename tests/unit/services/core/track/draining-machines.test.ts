import { describe, expect, it } from 'vitest'
import type { Learned } from '../../../../../services/core/model/learned.ts'
import type { CleaningSeen } from '../../../../../services/core/track/bottle-facts.ts'
import type { HeardBinding } from '../../../../../services/core/track/tracker.ts'
import { drainedBottleTracker } from '../../../../../services/core/track/draining-machines.ts'
import { BOTTLE } from '../../../../parts/bottle-run.ts'
import { HOUR, MINUTE, MONDAY_MS, SCALE } from '../../../../parts/bottle-signal.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { createSubjectRun, subjectContext } from '../../../../parts/subject-run.ts'

/** At rest 45 W, a cleaning of four minutes 120 W, a print 250 W; 160 W is nothing that the machine is known to do. */
const METER = 'bench/meter'
const RESTS_W = 45
const CLEANS_W = 120
const PRINTS_W = 250
const STANDS_W = 160
const WASTE = {
  kind: 'cleaningWaste',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: 'test',
  gramsPerCleaning: 12,
  sigmaG: 0.3,
  cleanings: 8,
  broughtShare: 0.9,
} as const

type Load = (sinceMs: number) => number

/** Four minutes every second hour. */
const cleans: Load = (since) => (since % (2 * HOUR) < 4 * MINUTE && since >= HOUR ? CLEANS_W : RESTS_W)

/** The cleanings that owe their waste, and those that do not, in hours. */
function seen(
  load: Load,
  { learned = [], logged = [] }: { learned?: readonly Learned[]; logged?: readonly number[] } = {},
): { owing: number[]; others: number[] } {
  const plain = testSettings()
  const machines = plain.machines.map((m) => ({
    ...m,
    powerBandsW: {
      cleaning: [100, 140] as [number, number],
      printing: [200, 300] as [number, number],
      cleaningS: [200, 300] as [number, number],
    },
  }))
  const context = subjectContext(BOTTLE, { ...plain, machines }, learned)
  const subject = { kind: 'machine', id: 'roll' } as const
  const meter: HeardBinding = {
    id: METER,
    quantity: 'power',
    subject,
    intervalMs: MINUTE,
    validForMs: 3 * MINUTE,
  }
  const sensors = new Map([...context.sensors, [METER, meter]])
  const run = createSubjectRun({
    tracker: drainedBottleTracker,
    detectors: [],
    context: { ...context, sensors },
    restart: true,
  })
  const all = new Map<number, CleaningSeen>()
  for (let since = 0; since <= 20 * HOUR; since += MINUTE) {
    const atMs = MONDAY_MS + since
    run.read({ sensorId: METER, quantity: 'power', atMs, value: load(since) })
    run.read({ sensorId: SCALE, quantity: 'mass', atMs: atMs + 1, value: 0.5 })
    for (const c of run.facts().cleanings) all.set(c.atMs, c)
    if (!logged.includes(since / MINUTE)) continue
    const stamp = { seq: 1, atMs: atMs + 2, receivedMs: atMs + 2 }
    const act = { actorId: 'operator', via: 'screen', atMs: atMs + 2 } as const
    run.order({
      type: 'careLogged',
      ...stamp,
      act,
      machineId: 'roll',
      care: 'cleaned',
      channelGroupIds: [],
    })
  }
  const hours = (owes: boolean): number[] =>
    [...all.values()].filter((c) => c.owes === owes).map((c) => Math.floor((c.atMs - MONDAY_MS) / HOUR))
  return { owing: hours(true), others: hours(false) }
}

describe('machines that drain into a bottle', () => {
  it('DRAIN-1 with nothing logged and nothing weighed no cleaning counts', () => {
    expect(seen(cleans)).toEqual({ owing: [], others: [] })
  })
  it('DRAIN-1 five that were logged prove them, from the fifth on', () => {
    const logged = [2, 4, 6, 8, 10].map((h) => h * 60 + 8)
    expect(seen(cleans, { logged }).owing).toEqual([12, 14, 16, 18])
  })
  it('DRAIN-1 eight that were weighed, nine in ten of which brought waste, prove them though nobody logs', () => {
    expect(seen(cleans, { learned: [WASTE] }).owing).toEqual([2, 4, 6, 8, 10, 12, 14, 16, 18])
  })
  it.each([{ cleanings: 7 }, { broughtShare: 0.89 }, { broughtShare: undefined }])(
    'DRAIN-1 %j does not prove them',
    (change) => {
      expect(seen(cleans, { learned: [{ ...WASTE, ...change }] }).owing).toEqual([])
    },
  )
  it('DRAIN-2 a machine that stopped on an error and now and then draws as much as one that cleans owes nothing', () => {
    const stopped: Load = (since) =>
      since < 9 * HOUR || since > 15 * HOUR
        ? cleans(since)
        : (since + 45 * MINUTE) % (90 * MINUTE) < 4 * MINUTE
          ? CLEANS_W
          : STANDS_W
    const { owing, others } = seen(stopped, { learned: [WASTE] })
    expect(owing).toEqual([2, 4, 6, 8, 16, 18])
    expect(others.length).toBeGreaterThan(2)
  })
  it('DRAIN-2 what begins right after a print owes its waste', () => {
    const prints: Load = (since) =>
      since % (2 * HOUR) > 80 * MINUTE && since % (2 * HOUR) < 2 * HOUR ? PRINTS_W : cleans(since)
    expect(seen(prints, { learned: [WASTE] }).owing).toEqual([2, 4, 6, 8, 10, 12, 14, 16, 18])
  })
})

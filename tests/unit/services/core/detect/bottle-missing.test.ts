import { describe, expect, it } from 'vitest'
import { bottleMissing } from '../../../../../services/core/detect/bottle-missing.ts'
import { bottleTracker } from '../../../../../services/core/track/bottle.ts'
import { trusted } from '../../../../../services/core/track/trusted.ts'
import { BOTTLE, bottleSettings, liveBottle, settingsSaid, told } from '../../../../parts/bottle-run.ts'
import {
  during,
  HOUR,
  MINUTE,
  MONDAY_MS,
  SECOND,
  SCALE,
  together,
  type Signal,
} from '../../../../parts/bottle-signal.ts'
import { createSubjectRun, subjectContext } from '../../../../parts/subject-run.ts'

/** Open from 08:30 to 18:00; the limits are 5 min in open and 2 min in closed hours. */
const MORNING_MS = MONDAY_MS + 10 * HOUR
const CLOSING_MS = MONDAY_MS + 18 * HOUR

function lifted(
  fromMs: number,
  toMs: number,
  { startMs, everyMs = 10 * SECOND }: { startMs: number; everyMs?: number },
) {
  const signal = together(() => 1.2, during(fromMs, toMs, -1.2))
  const { found } = liveBottle({ signal, forMs: HOUR, everyMs, fromMs: startMs })
  return told(found, 'bottleMissing', startMs)
}

describe('bottle missing', () => {
  it('MISSING-1 opens after five minutes off the scale in open hours', () => {
    expect(lifted(10 * MINUTE, Infinity, { startMs: MORNING_MS })).toEqual(['opened 10 sure 15'])
  })
  it('MISSING-1 opens after two minutes off the scale in closed hours', () => {
    expect(lifted(10 * MINUTE, Infinity, { startMs: MONDAY_MS })).toEqual(['opened 10 sure 12'])
  })
  it('MISSING-1 off before closing counts in closed hours from closing on', () => {
    expect(lifted(9 * MINUTE, Infinity, { startMs: CLOSING_MS - 10 * MINUTE })).toEqual(['opened 9 sure 12'])
    expect(lifted(6 * MINUTE, Infinity, { startMs: CLOSING_MS - 10 * MINUTE })).toEqual(['opened 6 sure 11'])
  })
  it('MISSING-1 an emptying of four minutes in open hours opens nothing', () => {
    expect(lifted(10 * MINUTE, 14 * MINUTE, { startMs: MORNING_MS })).toEqual([])
  })
  it.each([2 * MINUTE, 3 * MINUTE])(
    'MISSING-1 takes three readings of a scale that is read every %d ms',
    (everyMs) => {
      const found = (readings: number) =>
        lifted(6 * MINUTE, 6 * MINUTE + readings * everyMs, { startMs: MONDAY_MS, everyMs })
      expect(found(1)).toEqual([])
      expect(found(2)).toEqual([])
      const sure = 6 + (2 * everyMs) / MINUTE
      expect(found(3)[0]).toBe(`opened 6 sure ${sure}`)
    },
  )
  it('MISSING-1 garbage of a broken scale between good readings is no missing bottle', () => {
    // Every second reading is garbage from -2 to 12 kg; what is told then is that the scale is broken.
    const garbage: Signal = (since) => {
      const nth = Math.floor(since / (3 * MINUTE))
      const x = Math.sin(nth * 12.9898 + 4.1) * 43_758.5453
      const y = Math.sin(nth * 78.233 + 1.7) * 12_543.123
      return x - Math.floor(x) < 0.5 ? -2 + 14 * (y - Math.floor(y)) : 1.2
    }
    const { found } = liveBottle({ signal: garbage, forMs: 10 * HOUR, everyMs: 3 * MINUTE })
    expect(told(found, 'bottleMissing')).toEqual([])
  })
  it('MISSING-1 values that no bottle can weigh are no readings of an empty scale', () => {
    // As the shop closes: one 0, then garbage that is no weight at all, each two minutes after the last.
    const context = subjectContext(BOTTLE, bottleSettings(2 * MINUTE))
    const run = createSubjectRun({ tracker: trusted(bottleTracker), detectors: [bottleMissing], context })
    const read = (kgs: readonly number[], fromMs: number): void => {
      kgs.forEach((value, i) =>
        run.read({ sensorId: SCALE, quantity: 'mass', atMs: fromMs + i * 2 * MINUTE, value }),
      )
    }
    read([1.2, 1.2, 1.2, 0, 11, -2, 1.2, 1.2, 1.2], CLOSING_MS - 10 * MINUTE)
    expect(told(run.found, 'bottleMissing', CLOSING_MS)).toEqual([])
    read([1.2, 1.2, 1.2, 0, 11, 0, -2, 0, 0], CLOSING_MS + HOUR)
    expect(told(run.found, 'bottleMissing', CLOSING_MS)).toEqual(['opened 66 sure 74'])
  })
  it.each([0.03, 0.06, 0.1])(
    'BOTTLE-9 a tube that pulls %d kg at a nearly empty bottle is no missing bottle',
    (kg) => {
      const signal = together(() => 0.21, during(10 * MINUTE, 50 * MINUTE, -kg))
      const { found } = liveBottle({ signal, forMs: HOUR, everyMs: MINUTE })
      expect(told(found, 'bottleMissing')).toEqual([])
    },
  )
  it('BOTTLE-9 a nearly empty bottle that is taken off is missing, and so is a full one', () => {
    for (const kg of [0.2, 0.21, 0.25, 0.4, 2]) {
      for (const restKg of [-0.02, 0, 0.02]) {
        const signal = together(() => kg, during(10 * MINUTE, Infinity, restKg - kg))
        const { found } = liveBottle({ signal, forMs: HOUR, everyMs: MINUTE })
        expect(told(found, 'bottleMissing')).toEqual(['opened 10 sure 12'])
      }
    }
  })
  it.each([SECOND, MINUTE, 2 * MINUTE])('MISSING-1 holds at a reading every %d ms', (everyMs) => {
    expect(lifted(10 * MINUTE, Infinity, { startMs: MORNING_MS, everyMs })).toEqual(['opened 10 sure 15'])
  })
  it('MISSING-2 closes when it has stood on the scale for a minute, dated to its return', () => {
    const found = lifted(10 * MINUTE, 20 * MINUTE, { startMs: MORNING_MS })
    expect(found).toEqual(['opened 10 sure 15', 'closed 20 sure 21'])
  })
  it('MISSING-2 another bottle closes it as well', () => {
    const signal = together(
      () => 1.2,
      during(10 * MINUTE, 20 * MINUTE, -1.2),
      during(20 * MINUTE, Infinity, -1.03),
    )
    const run = liveBottle({ signal, forMs: HOUR, everyMs: 10 * SECOND, fromMs: MORNING_MS })
    expect(told(run.found, 'bottleMissing', MORNING_MS)).toEqual(['opened 10 sure 15', 'closed 20 sure 21'])
    expect(run.facts().lastEmptying?.kind).toBe('replaced')
  })
  it('MISSING-2 a hand on the empty scale is no bottle', () => {
    const signal = together(
      () => 1.2,
      during(10 * MINUTE, Infinity, -1.2),
      during(30 * MINUTE, 30 * MINUTE + 30 * SECOND, 2),
    )
    const { found } = liveBottle({ signal, forMs: HOUR, everyMs: 10 * SECOND, fromMs: MORNING_MS })
    expect(told(found, 'bottleMissing', MORNING_MS)).toEqual(['opened 10 sure 15'])
  })
  it('MISSING-3 silence is no sign of a missing bottle, nor of its return', () => {
    const story = { forMs: HOUR, everyMs: 10 * SECOND, fromMs: MORNING_MS }
    const gone = together(() => 1.2, during(10 * MINUTE, Infinity, -1.2))
    const waiting = liveBottle({ ...story, signal: gone, silent: [11 * MINUTE, 61 * MINUTE] })
    expect(told(waiting.found, 'bottleMissing', MORNING_MS)).toEqual([])
    const open = liveBottle({ ...story, signal: gone, silent: [20 * MINUTE, 50 * MINUTE] })
    expect(told(open.found, 'bottleMissing', MORNING_MS)).toEqual(['opened 10 sure 15'])
  })
  it('MISSING-4 a bottle that loses its scale is no longer missing', () => {
    const signal = together(() => 1.2, during(10 * MINUTE, Infinity, -1.2))
    const run = liveBottle({ signal, forMs: 30 * MINUTE, everyMs: MINUTE, fromMs: MORNING_MS })
    const settings = { ...bottleSettings(MINUTE), sensors: [] }
    run.order(settingsSaid(MORNING_MS + 31 * MINUTE, settings), subjectContext(BOTTLE, settings))
    expect(told(run.found, 'bottleMissing', MORNING_MS)).toEqual(['opened 10 sure 15', 'closed 31 sure 31'])
  })
})

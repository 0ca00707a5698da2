import { describe, expect, it } from 'vitest'
import { BOTTLE, bottleSettings, liveBottle, settingsSaid, told } from '../../../../parts/bottle-run.ts'
import { during, HOUR, MINUTE, MONDAY_MS, SECOND, together } from '../../../../parts/bottle-signal.ts'
import { subjectContext } from '../../../../parts/subject-run.ts'

const half = () => 1.2
/** Lifts 50 % to 85 %, or to 97 %. */
const toNear = 0.7
const toFull = 0.94

describe('bottle near and bottle full', () => {
  it('NEAR-1 opens when the filtered fill stays above the limit for the delay', () => {
    const { found } = liveBottle({
      signal: together(half, during(30 * MINUTE, Infinity, toNear)),
      forMs: HOUR,
      everyMs: 10 * SECOND,
    })
    expect(found).toHaveLength(1)
    const [opened] = found
    expect(opened).toMatchObject({ condition: 'bottleNear', type: 'opened' })
    expect(opened?.worst).toBeCloseTo(85, 6)
    // Half of the filter's four minutes, then two minutes of delay.
    expect(told(found, 'bottleNear')).toEqual(['opened 32 sure 34'])
  })
  it('NEAR-1 closes when it stays below the limit that closes', () => {
    const { found } = liveBottle({
      signal: together(half, during(0, 30 * MINUTE, toNear), during(30 * MINUTE, Infinity, 0.5)),
      forMs: HOUR,
      everyMs: MINUTE,
    })
    expect(told(found, 'bottleNear')).toEqual(['opened 2 sure 4', 'closed 32 sure 34'])
  })
  it('NEAR-1 stays open in the deadband', () => {
    const { found } = liveBottle({
      signal: together(half, during(0, 30 * MINUTE, toNear), during(30 * MINUTE, Infinity, 0.56)),
      forMs: HOUR,
      everyMs: MINUTE,
    })
    expect(told(found, 'bottleNear')).toEqual(['opened 2 sure 4'])
  })
  it.each([SECOND, 10 * SECOND, MINUTE, 2 * MINUTE])(
    'NEAR-1 FULL-1 a hand of kilograms for a minute opens nothing, at a reading every %d ms',
    (everyMs) => {
      const signal = together(half, during(30 * MINUTE + 5 * SECOND, 31 * MINUTE + 5 * SECOND, 3))
      expect(liveBottle({ signal, forMs: HOUR, everyMs }).found).toEqual([])
    },
  )
  it.each([10 * SECOND, 2 * MINUTE])(
    'NEAR-1 a hand that sets the bottle down opens nothing, at a reading every %d ms',
    (everyMs) => {
      const lifted = during(30 * MINUTE, 34 * MINUTE, -1.2)
      const hand = during(34 * MINUTE, 35 * MINUTE, 2)
      const { found } = liveBottle({ signal: together(half, lifted, hand), forMs: HOUR, everyMs })
      expect(found.filter((f) => f.condition !== 'bottleMissing')).toEqual([])
    },
  )
  it('NEAR-2 a lifted bottle closes nothing; an emptied one that came back does', () => {
    const emptied = during(40 * MINUTE, Infinity, -1.6)
    const lifted = during(30 * MINUTE, 40 * MINUTE, -1.9)
    const { found } = liveBottle({
      signal: together(half, () => toNear, lifted, emptied),
      forMs: HOUR,
      everyMs: MINUTE,
    })
    expect(told(found, 'bottleNear')).toEqual(['opened 2 sure 4', 'closed 42 sure 44'])
  })
  it('NEAR-2 a bottle that comes back as full as it was stays near, in one stretch', () => {
    const { found } = liveBottle({
      signal: together(half, () => toNear, during(30 * MINUTE, 40 * MINUTE, -1.9)),
      forMs: HOUR,
      everyMs: MINUTE,
    })
    expect(told(found, 'bottleNear')).toEqual(['opened 2 sure 4'])
  })
  it('NEAR-2 a lift ends the wait to open', () => {
    const { found } = liveBottle({
      signal: together(half, during(30 * MINUTE, Infinity, toNear), during(33 * MINUTE, Infinity, -1.9)),
      forMs: 40 * MINUTE,
      everyMs: 10 * SECOND,
    })
    expect(told(found, 'bottleNear')).toEqual([])
  })
  it('NEAR-2 a scale that falls silent closes nothing', () => {
    const { found } = liveBottle({
      signal: together(half, () => toNear),
      forMs: HOUR,
      everyMs: MINUTE,
      silent: [20 * MINUTE, 50 * MINUTE],
    })
    expect(told(found, 'bottleNear')).toEqual(['opened 2 sure 4'])
  })
  it('NEAR-3 a bottle that loses its scale is no longer near', () => {
    const run = liveBottle({ signal: together(half, () => toNear), forMs: 20 * MINUTE, everyMs: MINUTE })
    const settings = { ...bottleSettings(MINUTE), sensors: [] }
    run.order(settingsSaid(MONDAY_MS + 25 * MINUTE, settings), subjectContext(BOTTLE, settings))
    expect(told(run.found, 'bottleNear')).toEqual(['opened 2 sure 4', 'closed 25 sure 25'])
  })
  it('NEAR-3 an order that leaves the scale closes nothing, also while the bottle is lifted', () => {
    const run = liveBottle({
      signal: together(half, () => toNear, during(18 * MINUTE, Infinity, -1.9)),
      forMs: 20 * MINUTE,
      everyMs: MINUTE,
    })
    run.order(settingsSaid(MONDAY_MS + 20 * MINUTE + 1, bottleSettings(MINUTE)))
    expect(told(run.found, 'bottleNear')).toEqual(['opened 2 sure 4'])
  })
  it('FULL-1 opens above its own limit, and near with it', () => {
    const { found } = liveBottle({
      signal: together(half, during(30 * MINUTE, Infinity, toFull)),
      forMs: HOUR,
      everyMs: MINUTE,
    })
    expect(told(found, 'bottleFull')).toEqual(['opened 32 sure 34'])
    expect(told(found, 'bottleNear')).toEqual(['opened 32 sure 34'])
  })
})

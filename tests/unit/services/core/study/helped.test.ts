import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { CareEntry, NozzleCheck } from '../../../../../services/core/model/log-entry.ts'
import {
  CHECK_AFTER_MS,
  CHECK_BEFORE_MS,
  helpedOf,
  judgeCares,
} from '../../../../../services/core/study/helped.ts'
import { careEntry, nozzleCheck, T0 } from '../../../../contracts/record-samples.ts'

const HOUR = 3_600_000
const check = (hours: number, colour: number, white = 0): NozzleCheck =>
  nozzleCheck(`at ${hours}`, {
    checkedMs: T0 + hours * HOUR,
    missing: [
      { channelGroupId: 'roll-colour', missingNozzles: colour },
      { channelGroupId: 'roll-white', missingNozzles: white },
    ],
  })
const helped = (checks: NozzleCheck[], cares: CareEntry[] = [], change: Partial<CareEntry> = {}) =>
  helpedOf(careEntry('it', change), { checks, cares })

describe('whether a cleaning helped', () => {
  it('HELPED-1 what a person says holds, whatever the checks say', () => {
    expect(helped([check(-1, 4), check(1, 0)], [], { helpedSaid: 'no' })).toBe('no')
    expect(helped([], [], { helpedSaid: 'yes' })).toBe('yes')
  })
  it('HELPED-2 fewer missing is yes; as many, or more, is no', () => {
    expect([0, 3, 4, 5].map((after) => helped([check(-1, 4), check(1, after)]))).toEqual([
      'yes',
      'yes',
      'no',
      'no',
    ])
  })
  it('HELPED-2 only what was cleaned is compared', () => {
    const checks = [check(-1, 4, 9), check(1, 4, 0)]
    expect(helped(checks)).toBe('yes')
    expect(helped(checks, [], { channelGroupIds: ['roll-colour'] })).toBe('no')
  })
  it('HELPED-2 the last before and the first after, of the same machine', () => {
    const checks = [check(-2, 1), check(-1, 4), check(1, 2), check(2, 9)]
    expect(helped(checks)).toBe('yes')
    const theirs = { ...check(0.5, 9), machineId: 'other' }
    expect(helped([...checks, theirs].reverse())).toBe('yes')
  })
  it('HELPED-3 too old, too late or missing checks tell nothing; nor does one with nothing missing', () => {
    const beforeH = CHECK_BEFORE_MS / HOUR
    const afterH = CHECK_AFTER_MS / HOUR
    expect(helped([check(-beforeH, 4), check(afterH, 0)])).toBe('yes')
    expect(helped([check(-beforeH - 0.01, 4), check(afterH, 0)])).toBe('unknown')
    expect(helped([check(-beforeH, 4), check(afterH + 0.01, 0)])).toBe('unknown')
    expect(helped([check(-1, 4)])).toBe('unknown')
    expect(helped([check(-1, 0), check(1, 0)])).toBe('unknown')
  })
  it('HELPED-4 of two cleanings between the same checks nobody knows which helped', () => {
    const checks = [check(-1, 4), check(2, 0)]
    const other = careEntry('other', { doneMs: T0 + HOUR })
    expect(helped(checks, [other])).toBe('unknown')
    expect(helped(checks, [{ ...other, doneMs: T0 + 3 * HOUR }])).toBe('yes')
    expect(helped(checks, [{ ...other, machineId: 'other' }])).toBe('yes')
    const white = { ...other, channelGroupIds: ['roll-white'] }
    expect(helped(checks, [white], { channelGroupIds: ['roll-colour'] })).toBe('yes')
  })
  it('HELPED-5 stirred white neither helps nor stands between', () => {
    const checks = [check(-1, 4), check(2, 0)]
    expect(helped(checks, [], { care: 'whiteStirred' })).toBe('unknown')
    expect(helped(checks, [careEntry('s', { care: 'whiteStirred', doneMs: T0 + HOUR })])).toBe('yes')
  })
  it('of many at once each is judged as by itself', () => {
    const told = { yes: 0, no: 0, unknown: 0 }
    const hour = fc.integer({ min: -30, max: 30 })
    const machineId = fc.constantFrom('roll', 'other')
    const aCheck = fc.tuple(hour, fc.nat(3), machineId).map(([h, n, m]) => ({ ...check(h, n), machineId: m }))
    const aCare = fc
      .tuple(fc.uuid(), hour, machineId)
      .map(([id, h, m]) => careEntry(id, { doneMs: T0 + h * HOUR, machineId: m }))
    fc.assert(
      fc.property(
        fc.array(aCheck, { minLength: 20, maxLength: 30 }),
        fc.array(aCare, { minLength: 2, maxLength: 3 }),
        (checks, cares) => {
          const judged = judgeCares(cares, { checks, cares })
          for (const care of judged) told[care.helped]++
          expect(judged).toEqual(
            cares.map((care) => ({ ...care, helped: helpedOf(care, { checks, cares }) })),
          )
        },
      ),
    )
    expect(Math.min(...Object.values(told))).toBeGreaterThan(20)
  })
})

import { describe, expect, it } from 'vitest'
import { isTrulyWell, judgeOwnHealth, WELL, type OwnFacts } from '../../../../services/monitor/own-health.ts'

const GIB = 1024 ** 3
const of = (change: Partial<OwnFacts>) => judgeOwnHealth({ ...WELL, ...change })

describe("the monitor's own health", () => {
  it('is well when nothing is wrong', () => {
    expect(of({ freeBytes: 20 * GIB })).toEqual({ ok: true, problems: [], forTheBoard: [] })
  })

  it.each<[string, Partial<OwnFacts>, RegExp]>([
    [
      'a disk nearly full',
      { freeBytes: GIB / 2 },
      /^the disk of the data folder is nearly full \(512 MB are left\): make room/,
    ],
    ['a full disk', { freeBytes: 1024 }, /is full \(0 MB are left\): make room.*stays at the nodes/],
    ['a clock in doubt', { clockDoubt: 'the clock was never set' }, /never set/],
    [
      'a broker that is gone',
      { brokerTroubles: ['MQTT broker hut: nothing answers there'] },
      /nothing answers/,
    ],
    ['signs of life that do not get through', { heartbeatProblem: 'the sign of life fails' }, /sign of life/],
    ['a backlog', { messagesWaiting: 20_000 }, /20,000 messages wait to be written; look for a slow disk/],
  ])('OWN-1 %s is told with its cure, here and on the board, and lets it go on', (_, change, words) => {
    const { ok, problems, forTheBoard } = of(change)
    expect([ok, problems, forTheBoard]).toEqual([true, [expect.stringMatching(words)], problems])
  })

  it('OWN-1 it is not well when nothing can be written, and that is told first', () => {
    const { ok, problems } = of({ commitProblem: 'nothing can be written', freeBytes: 0 })
    expect([ok, problems[0], problems.length]).toEqual([false, 'nothing can be written', 2])
  })

  it('OWN-2 from 1 GiB on there is room, and a disk that cannot be asked is no trouble', () => {
    expect([GIB - 1, GIB, null].map((freeBytes) => of({ freeBytes }).problems.length)).toEqual([1, 0, 0])
  })

  it('OWN-3 a second store that is away or behind is told with what waits; the board has a line of its own for it', () => {
    expect(of({ forwarderProblem: 'the store is away', readingsWaiting: 1234 })).toEqual({
      ok: true,
      problems: ['the store is away; 1,234 readings wait so far'],
      forTheBoard: [],
    })
    expect(of({ readingsWaiting: 1_000_000 }).problems).toEqual([
      expect.stringMatching(/over a million readings wait/),
    ])
    expect(of({ readingsWaiting: 50_000 }).problems).toEqual([])
  })

  it('BEAT-1 it is vouched for only while it writes, its clock is good and its disk has room', () => {
    expect(isTrulyWell({ commitProblem: null, freeBytes: GIB / 2, clockDoubt: null })).toBe(true)
    expect(isTrulyWell({ commitProblem: 'no', freeBytes: GIB, clockDoubt: null })).toBe(false)
    expect(isTrulyWell({ commitProblem: null, freeBytes: 1024, clockDoubt: null })).toBe(false)
    expect(isTrulyWell({ commitProblem: null, freeBytes: GIB, clockDoubt: 'never set' })).toBe(false)
  })
})

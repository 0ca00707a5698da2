import { describe, expect, it } from 'vitest'
import { alarmMeasures } from '../../../../../services/core/alarms/measures/alarm-measures.ts'
import { alarmMeasuresSchema } from '../../../../../services/core/model/alarm-measures.ts'
import type { AlarmChange } from '../../../../../services/core/model/alarm-change.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { alarmOf, episodeOf } from './every-condition.ts'

const MIN = 60_000
const DAY = 24 * 60 * MIN
const MONTH = { fromMs: 0, toMs: 30 * DAY }

function change(atMs: number, more: Partial<AlarmChange> = {}): AlarmChange {
  return {
    atMs,
    alarmId: 'alarm-1',
    rootKey: 'dryAir|room:floor',
    condition: 'airDry',
    title: 'Print floor is dry',
    from: 'normal',
    state: 'unacknowledged',
    urgency: 'beforeOpening',
    priority: 'low',
    arose: true,
    holds: true,
    sinceMs: atMs,
    ...more,
  }
}
const over = (atMs: number, sinceMs: number): AlarmChange =>
  change(atMs, {
    from: 'unacknowledged',
    state: 'returnedUnacknowledged',
    arose: false,
    holds: false,
    sinceMs,
  })
const openAlarm = (more: Partial<Alarm>): Alarm => ({
  ...alarmOf(episodeOf('airDry'), testSettings()),
  ...more,
})
function measured(changes: readonly AlarmChange[], open: readonly Alarm[] = [], window = MONTH) {
  const all = alarmMeasures(changes, open, window)
  alarmMeasuresSchema.parse(all)
  const of = (id: string) => {
    const measure = all.measures.find((m) => m.id === id)
    return [measure?.value, measure?.kept]
  }
  return { ...all, of }
}

describe('the measures of the alarm system', () => {
  it('a quiet month is calm, and says so', () => {
    const none = measured([])
    expect([none.isCalm, none.sentence]).toEqual([true, 'Calm: nothing has asked for anybody.'])
    const some = measured([change(DAY), over(2 * DAY - 1, DAY), change(5 * DAY)])
    expect(some.sentence).toBe('Calm: 2 alarms in 30 days, at most 1 within ten minutes.')
    expect(some.of('perDay')).toEqual(['0.1', true])
    expect(some.mostFrequent).toEqual([{ title: 'Print floor is dry', times: 2, sharePct: 100 }])
  })

  it('MEASURE-1 what asks is counted, and not every change of it', () => {
    const changes = [
      change(MIN),
      change(2 * MIN, { from: 'unacknowledged', state: 'acknowledged', arose: false }),
      change(3 * MIN, { from: 'acknowledged', state: 'unacknowledged', arose: false, urgency: 'now' }),
      change(4 * MIN, { from: 'unacknowledged', state: 'unacknowledged', arose: false }),
    ]
    expect(measured(changes).asked).toBe(2)
  })

  it('the rates stand against 150 a day, 6 an hour and 1 in ten minutes', () => {
    const perDay = (n: number) => measured(Array.from({ length: n * 30 }, (_, i) => change((i * DAY) / n)))
    expect(perDay(144).of('perDay')).toEqual(['144', true])
    expect(perDay(144).of('perHour')).toEqual(['6', true])
    expect(perDay(144).of('perTenMin')).toEqual(['1', true])
    const many = perDay(300)
    expect([many.of('perDay'), many.of('perHour'), many.of('perTenMin')]).toEqual([
      ['300', false],
      ['13', false],
      ['2.1', false],
    ])
    expect(many.isCalm).toBe(false)
    expect(many.sentence).toContain('Not calm: 9000 alarms in 30 days. Look at: alarms a day; alarms an hour')
  })

  it('periods of the clock with more than ten, the most in one, and floods', () => {
    const burst = (n: number, atMs: number) => Array.from({ length: n }, (_, i) => change(atMs + i * 1000))
    const nine = measured(burst(9, DAY))
    expect([nine.of('mostInTenMin'), nine.of('floods')]).toEqual([
      ['9', true],
      ['0 %, 0 floods', true],
    ])
    const eleven = measured(burst(11, DAY))
    expect(eleven.of('mostInTenMin')).toEqual(['11', false])
    expect(eleven.of('overfullShare')).toEqual(['0 %', true])
    expect(eleven.of('floods')).toEqual(['0 %, 1 flood', true])
    const day = measured(burst(11, 0), [], { fromMs: 0, toMs: DAY })
    expect(day.of('overfullShare')).toEqual(['0.7 %', true])
    const hours = measured(burst(11, 0), [], { fromMs: 0, toMs: 2 * 60 * MIN })
    expect([hours.of('overfullShare'), hours.of('floods')]).toEqual([
      ['8.3 %', false],
      ['8.3 %, 1 flood', false],
    ])
  })

  it('chattering is three times within a minute, twice or slower is not', () => {
    const thrice = (stepMs: number) => measured([0, 1, 2].map((i) => change(i * stepMs))).of('chattering')
    expect([thrice(30_000), thrice(30_001)]).toEqual([
      ['1', false],
      ['0', true],
    ])
    const two = [change(0), change(1000, { rootKey: 'other' }), change(2000)]
    expect(measured(two).of('chattering')).toEqual(['0', true])
  })

  it('stale is holding for more than a day: counted on the worst day, and now, and not on the shelf', () => {
    const lasted = (days: number, n: number) =>
      Array.from({ length: n }, (_, i) => over((3 + days) * DAY, 3 * DAY + i))
    expect(measured(lasted(0.9, 9)).of('stale')).toEqual(['0 on the worst day, 0 now', true])
    expect(measured(lasted(2, 4)).of('stale')).toEqual(['4 on the worst day, 0 now', true])
    expect(measured(lasted(2, 5)).of('stale')).toEqual(['5 on the worst day, 0 now', false])
    const old = { openedMs: 28 * DAY, returnedMs: null }
    const shelf = {
      act: { actorId: 'a', via: 'screen' as const, atMs: 0 },
      untilMs: 1,
      reason: 'x',
      condition: 'airDry' as const,
    }
    expect(measured([], [openAlarm(old)]).of('stale')).toEqual(['1 on the worst day, 1 now', true])
    const aside = openAlarm({ ...old, state: 'shelved', shelved: shelf })
    const shelved = measured([change(DAY, { from: 'acknowledged', state: 'shelved', arose: false })], [aside])
    expect([shelved.of('stale')[0], shelved.of('shelved')]).toEqual([
      '1 on the worst day, 0 now'.replace('1 on', '0 on'),
      ['1, 1 now', null],
    ])
  })

  it('MEASURE-2 shares are judged from a hundred on: ten most frequent, and the mix of priorities', () => {
    const few = measured([change(0, { priority: 'high' })])
    expect(few.of('priorities')).toEqual(['100 %, 0 %, 0 %, too few to judge (1)', null])
    expect(few.of('mostFrequentShare')[1]).toBeNull()
    const mixed = Array.from({ length: 400 }, (_, i) =>
      change(i * 60 * MIN, {
        rootKey: `r${i}`,
        priority: i % 20 === 0 ? 'high' : i % 20 < 4 ? 'medium' : 'low',
      }),
    )
    const good = measured(mixed)
    expect(good.of('priorities')).toEqual(['5 %, 15 %, 80 %', true])
    expect(good.of('mostFrequentShare')).toEqual(['2.5 %', true])
    const same = measured(mixed.map((c) => ({ ...c, rootKey: 'one', priority: 'high' as const })))
    expect(same.of('priorities')[1]).toBe(false)
    expect(same.of('mostFrequentShare')).toEqual(['100 %', false])
  })

  it('MEASURE-2 under 30 days it says of how many, and too little time is no rate', () => {
    const young = measured([change(0)], [], { fromMs: 0, toMs: 4 * DAY })
    expect(young.sentence).toBe(
      'Calm: 1 alarm in 4 days, at most 1 within ten minutes. Of 4 days so far; a fair judgement takes 30 days.',
    )
    const hour = measured([change(0)], [], { fromMs: 0, toMs: 60 * MIN })
    expect([hour.of('perDay'), hour.of('perHour')]).toEqual([
      ['too soon to say', null],
      ['1', true],
    ])
    expect(measured([], [], { fromMs: 0, toMs: 0 }).sentence).toContain('Calm')
  })
})

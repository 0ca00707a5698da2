import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  addClosingStep,
  gatherFaults,
  linesOf,
  moveClosingStep,
  newRoutine,
} from '../../../dashboards/src/models/work-edits.ts'
import {
  dateOf,
  entryWords,
  monthText,
  noonOf,
  notAllWords,
  totalsByMonth,
} from '../../../dashboards/src/words/disposal-words.ts'
import { settingsSchema } from '../../../services/core/model/settings.ts'
import { testSettings } from '../../parts/shop-settings.ts'

describe('the day of a disposal', () => {
  it('noon of a day on the shop’s clock is on that day at noon, in every zone and on days of a clock change', () => {
    const zones = [
      'Europe/Brussels',
      'Pacific/Kiritimati',
      'Pacific/Pago_Pago',
      'Asia/Kathmandu',
      'Pacific/Chatham',
      'UTC',
    ]
    const days = fc.integer({
      min: Date.UTC(2024, 0, 1) / 86_400_000,
      max: Date.UTC(2028, 0, 1) / 86_400_000,
    })
    fc.assert(
      fc.property(fc.constantFrom(...zones), days, (timeZone, day) => {
        const date = new Date(day * 86_400_000).toISOString().slice(0, 10)
        const atMs = noonOf(date, timeZone)
        expect(dateOf(atMs, timeZone)).toBe(date)
        const clock = { timeZone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' } as const
        expect(new Intl.DateTimeFormat('en-GB', clock).format(atMs)).toBe('12:00')
      }),
      { numRuns: 500 },
    )
    expect(noonOf('2027-03-28', 'Europe/Brussels')).toBe(Date.UTC(2027, 2, 28, 10))
    expect(noonOf('2026-10-25', 'Europe/Brussels')).toBe(Date.UTC(2026, 9, 25, 11))
  })
  it('months are those of the shop’s clock, the last first, and are named', () => {
    const at = (atMs: number, volumeMl: number) => ({ disposedMs: atMs, volumeMl })
    const log = [
      at(Date.UTC(2026, 10, 30, 23, 30), 100),
      at(Date.UTC(2026, 10, 30, 22), 50),
      at(Date.UTC(2026, 11, 2), 7),
    ]
    expect(totalsByMonth(log, 'Europe/Brussels')).toEqual([
      { month: '2026-12', volumeMl: 107 },
      { month: '2026-11', volumeMl: 50 },
    ])
    expect(monthText('2026-11')).toBe('November 2026')
  })
  it('where the log is longer than the page it says what is shown, and where all is', () => {
    expect(notAllWords(2_000)).toBe(
      'Only the newest 2,000 entries are shown and added up here. The table (CSV) holds all.',
    )
  })
  it('a version of an entry is told in words', () => {
    const entry = {
      volumeMl: 1400,
      toWhom: 'Harbour hauling',
      disposedMs: Date.UTC(2026, 10, 26),
      note: 'two drums',
    }
    expect(entryWords(entry, { unit: 'mL', timeZone: 'UTC' })).toBe(
      '1400 mL to Harbour hauling, 26 November 2026, "two drums"',
    )
  })
})

describe('changing the closing list and the routines', () => {
  const of = (ids: readonly string[]) => (settings: ReturnType<typeof testSettings>) =>
    settings.closingSteps.map((s) => s.id).filter((id) => ids.includes(id))

  it('a step moves past the next of its own round, and stays at an end', () => {
    const settings = testSettings()
    const order = of(['left-on', 'heat-off', 'humidifier', 'air'])
    const at = (id: string) => settings.closingSteps.findIndex((s) => s.id === id)
    expect(order(moveClosingStep(settings, at('heat-off'), -1))).toEqual(order(settings))
    expect(order(moveClosingStep(settings, at('heat-off'), 1))).toEqual([
      'left-on',
      'humidifier',
      'heat-off',
      'air',
    ])
    expect(moveClosingStep(settings, at('air'), 1)).toBe(settings)
    const machines = addClosingStep(settings, 'Lights off', 'machine')
    const moved = moveClosingStep(machines, machines.closingSteps.length - 1, -1)
    const ids = moved.closingSteps.filter((s) => s.of === 'machine').map((s) => s.id)
    expect(ids.slice(-2)).toEqual(['lights-off', 'left-on'])
  })
  it('what is added has a name of its own and can be saved', () => {
    const twice = addClosingStep(addClosingStep(testSettings(), 'Lights off', 'shop'), 'Lights off', 'shop')
    const own = newRoutine('Wash the light table', ['wash-the-light-table'])
    expect(settingsSchema.safeParse({ ...twice, routines: [own] }).success).toBe(true)
    expect(own.id).not.toBe('wash-the-light-table')
  })
  it('faults of lines are told at the field that holds them', () => {
    const errors = [
      { pointer: '/routines/0/steps/3', detail: 'too long' },
      { pointer: '/routines/0/stepsAside', detail: 'not this' },
    ]
    expect(gatherFaults(errors, '/routines/0/steps').map((e) => e.pointer)).toEqual([
      '/routines/0/steps',
      '/routines/0/stepsAside',
    ])
    expect(linesOf(' a \n\n b\n')).toEqual(['a', 'b'])
  })
})

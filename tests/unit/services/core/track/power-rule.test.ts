import { expect, it } from 'vitest'
import type { PowerBands } from '../../../../../services/core/model/learned/power-bands.ts'
import { cleaningsVisible, levelOf, powerRuleOf } from '../../../../../services/core/track/power-rule.ts'
import { learnedMap, SECOND } from './metered-machine.ts'

const BANDS: PowerBands = {
  kind: 'powerBands',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: '1',
  offBelowW: 9,
  standbyW: [42, 72],
  cleaningW: [100, 140],
  printingW: [163, 590],
  cleaningS: [170, 190],
  separation: 2,
  samples: 40_000,
}
type Sensors = Parameters<typeof powerRuleOf>[2]
const METER: Sensors = new Map([['a/power', { id: 'a/power', quantity: 'power' }]])
const CONTACT: Sensors = new Map([['a/contact', { id: 'a/contact', quantity: 'powered' }]])
const roll = { id: 'roll', offBelowW: 2 }
const told = { ...roll, powerBandsW: { cleaning: [90, 130] as [number, number] } }

it.each([
  { has: 'learned bands', machine: roll, learned: [BANDS], from: 'learned', cleaning: [100, 140] },
  { has: 'learned and told bands', machine: told, learned: [BANDS], from: 'learned', cleaning: [100, 140] },
  { has: 'told bands', machine: told, learned: [], from: 'told', cleaning: [90, 130] },
  {
    has: 'told cleanings, and learned bands without',
    machine: told,
    learned: [{ ...BANDS, cleaningW: null, cleaningS: null }],
    from: 'told',
    cleaning: [90, 130],
  },
  {
    has: 'learned bands without cleanings',
    machine: roll,
    learned: [{ ...BANDS, cleaningW: null, cleaningS: null }],
    from: 'learned',
    cleaning: null,
  },
  { has: 'nothing', machine: roll, learned: [], from: 'startingValues', cleaning: undefined },
])('POWER-RULE-1 a machine with $has goes by what is $from', ({ machine, learned, from, cleaning }) => {
  const rule = powerRuleOf(machine, learnedMap(...learned), METER)
  expect(rule.bandsFrom).toBe(from)
  expect(rule.bands?.cleaningW).toEqual(cleaning)
})

it('POWER-RULE-3 what the owner corrected by hand holds before what was learned', () => {
  const corrected = { ...roll, powerBandsW: { ...told.powerBandsW, insteadOfLearned: true } }
  const rule = powerRuleOf(corrected, learnedMap(BANDS), METER)
  expect(rule).toMatchObject({ bandsFrom: 'told', offBelowW: 2, bands: { cleaningW: [90, 130] } })
})

it('POWER-RULE-2 without a meter there are no bands', () => {
  const rule = powerRuleOf(told, learnedMap(BANDS), CONTACT)
  expect(rule).toEqual({ offBelowW: 9, meterId: null, bands: null, bandsFrom: 'startingValues' })
})

it('POWER-RULE-2 of two meters the first by id tells the levels', () => {
  const two: Sensors = new Map([['b', { id: 'b', quantity: 'power' }], ...METER])
  expect(powerRuleOf(roll, learnedMap(BANDS), two).meterId).toBe('a/power')
})

it.each([
  [3, 'standby'],
  [72, 'standby'],
  [85, 'between'],
  [100, 'cleaning'],
  [140, 'cleaning'],
  [150, 'between'],
  [163, 'printing'],
  [700, 'between'],
] as const)('%d W are %s', (powerW, level) => {
  const { bands } = powerRuleOf(roll, learnedMap(BANDS), METER)
  expect(bands && levelOf(powerW, bands)).toBe(level)
})

it.each([
  { everyS: 10, cleaningS: [170, 190], visible: true },
  { everyS: 60, cleaningS: [170, 190], visible: true },
  { everyS: 60, cleaningS: [115, 130], visible: false },
  { everyS: 120, cleaningS: [170, 190], visible: false },
  { everyS: 120, cleaningS: [340, 370], visible: true },
] as const)(
  'cleanings of $cleaningS s are visible to a meter that reports every $everyS s: $visible',
  ({ everyS, cleaningS, visible }) => {
    const rule = powerRuleOf(roll, learnedMap({ ...BANDS, cleaningS: [...cleaningS] }), METER)
    expect(cleaningsVisible(rule, everyS * SECOND)).toBe(visible)
  },
)

it('cleanings are never visible without a cleaning band', () => {
  expect(cleaningsVisible(powerRuleOf(roll, learnedMap(), METER), SECOND)).toBe(false)
  expect(cleaningsVisible(powerRuleOf(told, learnedMap(), CONTACT), SECOND)).toBe(false)
})

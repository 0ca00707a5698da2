import { expect, it } from 'vitest'
import type { PowerBands } from '../../../../../services/core/model/learned/power-bands.ts'
import { cleaningsVisible, levelOf, powerRuleOf } from '../../../../../services/core/track/power-rule.ts'
import { recognisedCount, recognisedEnough } from '../../../../../services/core/track/power-recognised.ts'
import { learnedMap, MINUTE, SECOND, START } from './metered-machine.ts'

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
const METER = new Map([['a/power', { id: 'a/power', quantity: 'power' }]] as const)
const CONTACT = new Map([['a/contact', { id: 'a/contact', quantity: 'powered' }]] as const)
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

it('POWER-RULE-2 without a meter there are no bands', () => {
  const rule = powerRuleOf(told, learnedMap(BANDS), CONTACT)
  expect(rule).toEqual({ offBelowW: 9, meterId: null, bands: null, bandsFrom: 'startingValues' })
})

it('POWER-RULE-2 of two meters the first by id tells the levels', () => {
  const two = new Map([['b', { id: 'b', quantity: 'power' } as const], ...METER])
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

it('five logged cleanings that the meter saw are enough, each within half an hour of one of its own', () => {
  const at = (minute: number) => START + minute * MINUTE
  const seen = [0, 240, 480, 720, 960, 1200].map((m) => ({ fromMs: at(m), toMs: at(m + 3) }))
  expect(recognisedCount([at(20), at(25)], seen)).toBe(1)
  expect(recognisedCount([at(100)], seen)).toBe(0)
  expect(recognisedCount([at(210), at(510)], seen)).toBe(2)
  const logged = [10, 235, 500, 700]
  expect(recognisedEnough(logged.map(at), seen)).toBe(false)
  expect(recognisedEnough([...logged, 990].map(at), seen)).toBe(true)
})

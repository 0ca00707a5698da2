import { expect, it } from 'vitest'
import {
  differenceText,
  forText,
  numberText,
  quantityText,
  temperatureText,
  volumeText,
  wasteText,
} from '../../../../../services/core/alarms/measured-text.ts'
import { QUANTITIES } from '../../../../../services/core/model/quantity.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const METRIC = { temperatureUnit: 'degC', volumeUnit: 'mL' } as const
const OTHER = { temperatureUnit: 'degF', volumeUnit: 'fl oz' } as const

it('numbers have one decimal where it says something, and no minus zero', () => {
  expect([36, 39.64, -0.01, 40.05].map(numberText)).toEqual(['36', '39.6', '0', '40.1'])
})

it('temperatures: water freezes at 32 °F and boils at 212 °F', () => {
  expect([0, 100].map((c) => temperatureText(c, OTHER))).toEqual(['32 °F', '212 °F'])
  expect(temperatureText(-2.04, METRIC)).toBe('-2 °C')
})

it('volumes: a US gallon of 3785.411784 mL is 128 fl oz (NIST Handbook 44, appendix C)', () => {
  expect(volumeText(3785.411784, OTHER)).toBe('128 fl oz')
  expect(volumeText(3785.411784, METRIC)).toBe('3785 mL')
})

it('waste is weighed, and told as volume where the bottle tells its density', () => {
  const [bottle] = testSettings().bottles
  expect(bottle).toBeDefined()
  if (bottle) expect(wasteText(105, { ...bottle, densityKgPerL: 1.05 }, METRIC)).toBe('105 g (100 mL)')
  expect(wasteText(105, undefined, METRIC)).toBe('105 g')
})

it('every quantity has its unit', () => {
  const texts = QUANTITIES.map((quantity) => quantityText(1, quantity, METRIC))
  expect(texts).toEqual(['1 %RH', '1 °C', '1 kg', '1 W', 'on', '1 V', '1 A'])
  expect(quantityText(0, 'powered', METRIC)).toBe('off')
  expect(quantityText(1.50234, 'mass', METRIC)).toBe('1.502 kg')
  expect(quantityText(1.5, undefined, METRIC)).toBe('1.5')
})

it('a difference has no sign, and 5 K are 9 °F', () => {
  expect(differenceText(-5, 'temperature', OTHER)).toBe('9 °F')
  expect(differenceText(-12.4, 'humidity', METRIC)).toBe('12.4 %RH')
})

it('a delay of nothing is not said', () => {
  expect([0, 600_000].map(forText)).toEqual(['', ' for 10 min'])
})

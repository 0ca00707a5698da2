import { expect, it } from 'vitest'
import { taskAdvice } from '../../../../../services/core/advise/task-advice.ts'
import * as cautions from '../../../../../services/core/advise/tasks/cautions.ts'
import { CONDITIONS, type Condition } from '../../../../../services/core/model/episode.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import {
  alarmOf,
  episodeOf,
  everyEpisodeOf,
  shopInFahrenheit,
  UNSPEAKABLE,
} from '../alarms/every-condition.ts'

const settings = testSettings()
const taskOf = (condition: Condition, shop = settings) =>
  taskAdvice(alarmOf(episodeOf(condition), shop), shop)

it.each(CONDITIONS)(
  '%s has a title, a why, at least two steps and a caution, all fit to be read aloud',
  (condition) => {
    for (const episode of everyEpisodeOf(condition)) {
      const {
        title,
        why,
        steps,
        cautions: warned,
        supplies,
      } = taskAdvice(alarmOf(episode, settings), settings)
      expect(title).toMatch(/^[A-Z].*[^.]$/)
      expect(title.length).toBeLessThan(80)
      expect(steps.length).toBeGreaterThanOrEqual(2)
      expect(warned.length).toBeGreaterThanOrEqual(1)
      for (const text of [why, ...steps, ...warned]) expect(text).toMatch(/^[A-Z].*[.?]$/)
      for (const text of [title, why, ...steps, ...warned, ...supplies]) expect(text).not.toMatch(UNSPEAKABLE)
      expect(new Set(steps).size).toBe(steps.length)
      expect(new Set(warned).size).toBe(warned.length)
    }
  },
)

it.each(['powerLost', 'leftOff', 'powerFlickering', 'mainsLost', 'offItsCap'] as const)(
  '%s looks before it touches, and leaves what tripped, is wet or burnt to an electrician',
  (condition) => {
    const { steps, cautions: warned } = taskOf(condition)
    expect(steps).toContain(cautions.LOOK_BEFORE_TOUCHING)
    expect(warned).toEqual(expect.arrayContaining([cautions.ELECTRICIAN, cautions.NOZZLE_FACE]))
    const look = steps.indexOf(cautions.LOOK_BEFORE_TOUCHING)
    const touch = steps.findIndex((step) =>
      /how (it is|they are) started|capped only as|sit firmly/.test(step),
    )
    expect(look).toBeLessThan(touch)
  },
)

it.each([
  'bottleNear',
  'bottleFull',
  'bottleWillFill',
  'bottleMissing',
  'bottleLosingWeight',
  'wasteNotArriving',
  'idleTooLong',
] as const)('%s touches ink: gloves, and local rules', (condition) => {
  expect(taskOf(condition).cautions).toEqual(
    expect.arrayContaining([cautions.GLOVES, cautions.LOCAL_RULES, cautions.MANUAL_FIRST]),
  )
})

it('whoever is sent to a head is told to keep off the nozzle face, and that the manual goes first', () => {
  let heads = 0
  for (const condition of CONDITIONS) {
    const { steps, cautions: warned } = taskOf(condition)
    if (!steps.some((step) => /carriage|cleaning and a nozzle check/.test(step))) continue
    heads++
    expect(warned, condition).toContain(cautions.NOZZLE_FACE)
    expect(warned, condition).toContain(cautions.MANUAL_FIRST)
  }
  expect(heads).toBeGreaterThan(5)
})

it('whoever may switch a machine on, or measure at it, is told what belongs to an electrician', () => {
  let sent = 0
  for (const condition of CONDITIONS) {
    const { steps, cautions: warned } = taskOf(condition)
    if (!steps.some((step) => /before you switch|has no power|how (it is|they are) started/.test(step)))
      continue
    sent++
    expect(warned, condition).toContain(cautions.ELECTRICIAN)
  }
  expect(sent).toBeGreaterThan(4)
  expect(taskOf('powerFlickering').cautions).toContain(cautions.PLUG_IN_METER)
})

it('a humidifier comes with the caution to keep its water from sockets', () => {
  for (const condition of ['airDry', 'airVeryDry', 'airDamp', 'roomCold'] as const) {
    expect(taskOf(condition).cautions, condition).toContain(cautions.WATER_AWAY)
  }
})

it('where smoke or fire is thinkable the task says that Nightcap is no fire, leak or safety alarm', () => {
  for (const condition of ['powerLost', 'leftOff', 'powerFlickering', 'mainsLost', 'monitorDark'] as const) {
    expect(taskOf(condition).cautions, condition).toContain(cautions.NO_SAFETY_ALARM)
  }
})

it('mains is back and the machine is not: its manual says how it is started', () => {
  expect(taskOf('powerLost').steps.join(' ')).toMatch(
    /mains away for a while: its manual says how it is started/,
  )
})

it('targets are those of the settings, in the units the owner likes', () => {
  const own = testSettings({
    rooms: [{ id: 'floor', title: 'Print floor', targetPct: 52 }],
    limits: { airDryPct: { openBelow: 38, closeAbove: 41, onDelayMs: 0, offDelayMs: 0 } },
  })
  expect(taskOf('airDry', own).title).toBe('Bring the air in Print floor back above 41 %RH')
  expect(taskOf('airDry', own).steps[0]).toContain('52 %RH')
  expect(taskOf('roomWarm').title).toBe('Cool Print floor to below 29 °C')
  expect(taskOf('roomWarm', shopInFahrenheit()).title).toBe('Cool Print floor to below 84.2 °F')
  expect(taskOf('roomCold', shopInFahrenheit()).title).toBe('Warm Print floor to above 60.8 °F')
})

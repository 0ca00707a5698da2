import { describe, expect, it } from 'vitest'
import {
  checkOf,
  dryingStory,
  STORY_MS,
  SYMPTOM_ADVICE,
} from '../../../../../services/core/advise/symptoms.ts'
import type { Condition, Episode } from '../../../../../services/core/model/episode.ts'
import { SYMPTOMS } from '../../../../../services/core/model/symptom.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'
import { HOUR, routine, T0 } from '../../../../parts/work-run.ts'
import { episodeOf } from '../alarms/every-condition.ts'

const settings = testSettings()
const machine = settings.machines[0] ?? expect.fail('no machine')

function episode(
  condition: Condition,
  fromH: number,
  toH: number | null,
  worst: number | null = null,
): Episode {
  const toMs = toH === null ? null : T0 + toH * HOUR
  return { ...episodeOf(condition), fromMs: T0 + fromH * HOUR, toMs, closedMs: toMs, worst }
}
const story = (episodes: readonly Episode[], shop = settings) =>
  dryingStory({ machine, settings: shop, episodes, nowMs: T0 })

describe('what the last days did to the ink', () => {
  it('STORY-1 times of one kind that overlap count once, also of degrees of the same', () => {
    expect(story([episode('airDry', -10, -4, 38), episode('airVeryDry', -8, -6, 29)])).toEqual([
      expect.stringMatching(/^The air was dry for 6 h, 29 %RH at its driest\. It last began 05:00\.$/),
    ])
  })
  it('STORY-1 what goes on counts until now, and what began long ago from where the story begins', () => {
    const days = STORY_MS / HOUR
    expect(story([episode('powerLost', -days - 50, -days + 3), episode('powerLost', -2, null)])[0]).toMatch(
      /^The machine was without power for 5 h/,
    )
  })
  it('STORY-1 the longest stands first', () => {
    const told = story([
      episode('offItsCap', -3, -2),
      episode('airDry', -9, -4, 35),
      episode('headDrying', -4, -2),
    ])
    expect(told.map((s) => s.slice(0, 8))).toEqual(['The air ', 'Its ink ', 'The head'])
  })
  it('STORY-2 a story without a trouble says so, and what is not measured', () => {
    expect(story([])).toEqual(['In the last 4 days nothing was seen that dries its ink.'])
    expect(story([], testSettings({ sensors: [] }))[0]).toBe(
      'In the last 4 days nothing was seen that dries its ink. Nobody measures the humidity of its room and its power, so much may have gone unseen.',
    )
  })
  it('the trouble of another machine is none of this one', () => {
    const other = { ...episode('offItsCap', -3, -1), subject: { kind: 'machine' as const, id: 'another' } }
    expect(story([other])[0]).toMatch(/^In the last 4 days nothing was seen/)
  })
})

describe('the check that a symptom asks for', () => {
  it('every symptom has one, with its steps and what to take care of', () => {
    for (const symptom of SYMPTOMS) {
      const { steps, cautions } = checkOf(symptom, settings)
      expect(steps.length, symptom).toBeGreaterThan(1)
      expect(cautions.length, symptom).toBeGreaterThan(0)
      expect(SYMPTOM_ADVICE[symptom].reason).not.toBe('')
    }
  })
  it("is the owner's own form of it, switched off or not", () => {
    const own = routine({ id: 'pinch-rollers', title: 'Our way with the rollers', on: false })
    expect(checkOf('marksOnFilm', testSettings({ routines: [own] })).title).toBe('Our way with the rollers')
  })
  it('is the ready-made one where the owner made of it something for no machine', () => {
    const own = routine({ id: 'pinch-rollers', title: 'Sweep the room', forEach: 'room' })
    expect(checkOf('marksOnFilm', testSettings({ routines: [own] })).title).toMatch(/pinch rollers/)
  })
})

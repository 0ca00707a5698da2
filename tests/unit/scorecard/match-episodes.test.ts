import { describe, expect, it } from 'vitest'
import { matchEpisodes, type FoundEpisode, type TrueSpan } from '../../scorecard/match-episodes.ts'
import { createSpanRecorder } from '../../scorecard/span-recorder.ts'

const MINUTE = 60_000
const span = (fromMin: number, toMin: number, more: Partial<TrueSpan> = {}): TrueSpan => ({
  subject: 'machine:a',
  fromMs: fromMin * MINUTE,
  toMs: toMin * MINUTE,
  dueMs: (fromMin + 1) * MINUTE,
  sure: true,
  ...more,
})
const episode = (fromMin: number, openedMin: number, toMin: number, subject = 'machine:a'): FoundEpisode => {
  return { subject, fromMs: fromMin * MINUTE, openedMs: openedMin * MINUTE, toMs: toMin * MINUTE }
}
const match = (truth: readonly TrueSpan[], found: readonly FoundEpisode[]) =>
  matchEpisodes(truth, found, { toleranceMs: 2 * MINUTE })

describe('episodes against the truth', () => {
  it('MATCH-1 one that opened while it held is a hit, with its delay beyond the due time', () => {
    const result = match([span(100, 130)], [episode(100, 104, 131)])
    expect(result).toMatchObject({
      occasions: 1,
      hits: 1,
      misses: [],
      falseAlarms: [],
      delaysMs: [3 * MINUTE],
    })
  })

  it('MATCH-1 one that opened after it was over, or closed before it began, is no hit', () => {
    expect(match([span(100, 130)], [episode(100, 140, 150)]).misses).toHaveLength(1)
    expect(match([span(100, 130)], [episode(50, 60, 90)]).misses).toHaveLength(1)
    expect(match([span(100, 130)], [episode(100, 104, 131, 'machine:b')]).misses).toHaveLength(1)
  })

  it('MATCH-2 one that touches nothing true is a false alarm, one that touches the grey zone is not', () => {
    expect(match([span(100, 130)], [episode(200, 201, 210)]).falseAlarms).toHaveLength(1)
    const grey = match([span(190, 220, { sure: false })], [episode(200, 201, 210)])
    expect(grey).toMatchObject({ occasions: 0, hits: 0, falseAlarms: [] })
  })

  it('MATCH-3 both reach as far as the tolerance', () => {
    expect(match([span(100, 130)], [episode(132, 132, 150)]).hits).toBe(1)
    expect(match([span(100, 130)], [episode(133, 133, 150)])).toMatchObject({ hits: 0, occasions: 1 })
  })

  it('MATCH-4 a hit from before the due time has no delay', () => {
    expect(match([span(100, 130)], [episode(90, 95, 131)]).delaysMs).toEqual([0])
  })
})

describe('what held, minute by minute', () => {
  const what = { condition: 'airDry', subject: 'room:a' } as const
  const recorded = (levels: readonly (0 | 1 | 2)[]): readonly TrueSpan[] => {
    const recorder = createSpanRecorder()
    levels.forEach((level, at) => {
      recorder.note(what, level, { atMs: at * MINUTE, delayMs: 2 * MINUTE, slackMs: MINUTE })
    })
    return recorder.finish(levels.length * MINUTE)[0]?.spans ?? []
  }

  it('SPAN-1 a stretch longer than delay and slack is sure, due when the delay is over', () => {
    const [sure] = recorded([0, 2, 2, 2, 2, 0]).filter((s) => s.sure)
    expect(sure).toMatchObject({ fromMs: MINUTE, toMs: 5 * MINUTE, dueMs: 3 * MINUTE })
  })

  it('SPAN-2 a shorter one, and what is only near, is grey', () => {
    expect(recorded([0, 2, 2, 2, 0]).map((s) => s.sure)).toEqual([false])
    expect(recorded([0, 1, 1, 1, 1, 1, 0])).toMatchObject([{ fromMs: MINUTE, toMs: 6 * MINUTE, sure: false }])
  })

  it('SPAN-3 the grey zone reaches around the sure stretch, and what still holds ends with the record', () => {
    expect(recorded([1, 2, 2, 2, 2, 1])).toMatchObject([
      { fromMs: MINUTE, toMs: 5 * MINUTE, sure: true },
      { fromMs: 0, toMs: 6 * MINUTE, sure: false },
    ])
  })
})

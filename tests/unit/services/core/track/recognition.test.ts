import { describe, expect, it } from 'vitest'
import {
  initialRecognition,
  isRecognised,
  noteLoggedCleaning,
  noteProvenCleanings,
  noteSeenCleaning,
} from '../../../../../services/core/track/recognition.ts'

const MIN = 60_000

describe('recognised cleanings', () => {
  it('RECOGNISE-1 within half an hour, whichever came first, and each once', () => {
    const state = initialRecognition()
    noteSeenCleaning(state, 0)
    noteLoggedCleaning(state, 30 * MIN)
    expect(state.count).toBe(1)
    noteLoggedCleaning(state, 31 * MIN)
    expect(state.count).toBe(1)
    noteSeenCleaning(state, 40 * MIN)
    expect(state.count).toBe(2)
  })
  it('RECOGNISE-1 not when they lie further apart', () => {
    const state = initialRecognition()
    noteSeenCleaning(state, 0)
    noteLoggedCleaning(state, 31 * MIN)
    expect(state.count).toBe(0)
  })
  it('RECOGNISE-2 five are enough', () => {
    const state = initialRecognition()
    for (let i = 0; i < 5; i++) {
      expect(isRecognised(state)).toBe(false)
      noteSeenCleaning(state, i * 240 * MIN)
      noteLoggedCleaning(state, i * 240 * MIN + MIN)
    }
    expect(isRecognised(state)).toBe(true)
  })
  it('RECOGNISE-3 what a scale proved needs nobody to log it', () => {
    const state = initialRecognition()
    noteProvenCleanings(state)
    expect(isRecognised(state)).toBe(true)
    noteSeenCleaning(state, 0)
    noteLoggedCleaning(state, MIN)
    expect(isRecognised(state)).toBe(true)
  })
})

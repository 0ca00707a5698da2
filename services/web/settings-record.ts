import { settingsDifferences } from '../core/advise/settings-words/settings-differences.ts'
import type { SettingsDifference } from '../core/advise/settings-words/settings-difference.ts'
import { limitLeaves, limitWordsOf, type LimitWords } from '../core/advise/settings-words/limit-words.ts'
import type { InputOf } from '../core/model/input.ts'
import { emptySettings, limitsSchema } from '../core/model/settings.ts'

type Change = InputOf<'settings'>

/** A change of the settings as it stands on record. */
export interface RecordedChange {
  readonly change: Change
  readonly differences: readonly SettingsDifference[]
}

/**
 * The changes of `history`, which is given newest first, in words.
 *
 * RECORD-1 each is held against the one before it; the very first against an empty shop.
 * RECORD-2 of the oldest that was asked for, and has an older one before it, nothing can be told: `history` holds one more.
 */
export function recordedChanges(history: readonly Change[], most: number): RecordedChange[] {
  return history.slice(0, most).map((change, at) => ({
    change,
    differences: settingsDifferences(history[at + 1]?.settings ?? emptySettings(), change.settings),
  }))
}

export interface LimitOrigin {
  readonly words: LimitWords
  readonly value: number
  readonly startingValue: number | null
  /** The change that gave it its present value; null for one that was never changed. */
  readonly setBy: Change | null
}

const STARTING = new Map(limitLeaves(limitsSchema.parse({})).map(({ path, value }) => [path, value]))

/**
 * Every limit in force, and where it comes from.
 *
 * ORIGIN-1 a limit was set by the newest change after which it had another value than before.
 * ORIGIN-2 one that was changed and set back is told as set by whoever set it back.
 * ORIGIN-3 what was set before the oldest change given counts as set by that one.
 */
export function limitOrigins(history: readonly Change[]): LimitOrigin[] {
  const present = history[0]?.settings.limits ?? limitsSchema.parse({})
  const byChange = history.map(({ settings }) => new Map(limitLeaves(settings.limits).map((l) => [l.path, l.value])))
  return limitLeaves(present).map(({ path, value }) => {
    const at = byChange.findIndex((values, i) => values.get(path) !== (byChange[i + 1] ?? STARTING).get(path))
    return {
      words: limitWordsOf(path),
      value,
      startingValue: STARTING.get(path) ?? null,
      setBy: history[at] ?? null,
    }
  })
} // prettier-ignore

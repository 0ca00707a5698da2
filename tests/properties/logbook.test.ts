import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { InputBody } from '../../services/core/model/input.ts'
import {
  logIdOf,
  logTimeOf,
  saidEntrySchema,
  type LogEntry,
  type SaidEntry,
} from '../../services/core/model/log-entry.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { T0 } from '../contracts/record-samples.ts'
import { createMemoryRecords } from '../parts/memory-book-of-record.ts'
import { settingsInput } from '../parts/kernel-run.ts'
import { testSettings } from '../parts/shop-settings.ts'

const MINUTE = 60_000
const id = fc.constantFrom('a', 'b', 'c')
const beforeMs = fc.integer({ min: 0, max: 200_000 })
const isVoid = fc.boolean()

/** What is said, at the n-th minute after the beginning. */
type Say = (atMs: number) => SaidEntry
const say: fc.Arbitrary<Say> = fc.oneof(
  fc.tuple(id, beforeMs, isVoid, fc.integer({ min: 0, max: 9 })).map(
    ([checkId, ms, gone, missingNozzles]): Say =>
      (atMs) =>
        saidEntrySchema.parse({
          kind: 'nozzleCheck',
          checkId,
          machineId: 'roll',
          checkedMs: atMs - ms,
          reason: 'routine',
          missing: [{ channelGroupId: 'roll-white', missingNozzles }],
          void: gone,
        }),
  ),
  fc.tuple(id, beforeMs, isVoid).map(
    ([careId, ms, gone]): Say =>
      (atMs) =>
        saidEntrySchema.parse({
          kind: 'care',
          careId,
          machineId: 'roll',
          care: 'cleaned',
          doneMs: atMs - ms,
          void: gone,
        }),
  ),
  fc.tuple(id, isVoid).map(
    ([noteId, gone]): Say =>
      (atMs) =>
        saidEntrySchema.parse({
          kind: 'note',
          noteId,
          subject: { kind: 'room', id: 'floor' },
          text: `at ${atMs}`,
          atMs,
          void: gone,
        }),
  ),
)

function inputOf(entries: readonly Say[], at: number): InputBody {
  const atMs = T0 + at * MINUTE
  const act = { actorId: 'ana', via: 'screen' as const, atMs }
  return { type: 'logEntriesNoted', atMs, receivedMs: atMs, act, entries: entries.map((s) => s(atMs)) }
}

/** Lives through a log; gives what it decided and what the reader shows then. */
function liveThrough(log: readonly InputBody[], restartAfter: number) {
  const { book, facts } = createMemoryRecords()
  const effects: string[] = []
  const recording = {
    ...book,
    applyEffects: (seq: number, list: Parameters<typeof book.applyEffects>[1]) => {
      effects.push(...list.map((e) => JSON.stringify(e)))
      book.applyEffects(seq, list)
    },
  }
  let keeper = createKernelKeeper(recording)
  log.forEach((body, at) => {
    if (at === restartAfter) keeper = createKernelKeeper(recording)
    book.transaction(() => {
      keeper.take(body)
      keeper.beforeCommit(body.receivedMs)
    })
  })
  return { effects, facts }
}

describe('the logbook in any order', () => {
  it('LOG-1 the newest entry of each id counts, replays are equal, and nobody is told of anything', () => {
    const reached = { corrected: 0, voided: 0, backAgain: 0 }
    fc.assert(
      fc.property(
        fc.array(fc.array(say, { minLength: 1, maxLength: 4 }), { minLength: 1, maxLength: 12 }),
        fc.nat(12),
        (inputs, restartAfter) => {
          const log = [settingsInput(testSettings(), T0 - MINUTE), ...inputs.map(inputOf)]
          const { effects, facts } = liveThrough(log, restartAfter)
          expect(liveThrough(log, Infinity).effects).toEqual(effects)

          const newest = new Map<string, SaidEntry>()
          for (const input of log) {
            for (const entry of input.type === 'logEntriesNoted' ? input.entries : []) {
              const key = `${entry.kind} ${logIdOf(entry)}`
              const before = newest.get(key)
              if (before) reached.corrected++
              if (entry.void) reached.voided++
              if (before?.void && !entry.void) reached.backAgain++
              newest.set(key, entry)
            }
          }
          const window = { fromMs: 0, toMs: T0 + 99 * MINUTE }
          const shown: readonly LogEntry[] = [
            ...facts.nozzleChecks(window),
            ...facts.careEntries(window),
            ...facts.notes(window),
          ]
          const tell = (entries: readonly SaidEntry[]) =>
            entries.map((e) => `${e.kind} ${logIdOf(e)} ${logTimeOf(e)}`).sort()
          expect(tell(shown)).toEqual(tell([...newest.values()].filter((e) => !e.void)))
          expect(effects.filter((e) => /"type":"(alarm|task|notice)/.test(e))).toEqual([])
        },
      ),
      { numRuns: 80 },
    )
    expect(Math.min(...Object.values(reached))).toBeGreaterThan(50)
  }, 60_000)
})

import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Episode } from '../../services/core/model/episode.ts'
import type { BookOfRecord } from '../../services/core/model/ports/records.ts'
import { episodeFacts, liveThrough, replayLog } from '../parts/kernel-run.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'
import { arrivalsOf, TOURS, TROUBLE_END_MS, troubles } from '../parts/troubled-shop.ts'

/** Those that are judged in event time; the others live on receipt time and are exempt from the order of arrival. */
const IN_EVENT_TIME = [
  'airDry',
  'airVeryDry',
  'airDamp',
  'roomCold',
  'roomWarm',
  'headDrying',
  'headWillDry',
  'offItsCap',
  'notCleaning',
  'stoppedOnError',
  'idleTooLong',
  'powerLost',
  'leftOff',
  'powerFlickering',
  'mainsLost',
  'bottleNear',
  'bottleFull',
  'bottleWillFill',
  'bottleMissing',
  'bottleLosingWeight',
  'wasteNotArriving',
  'sensorStuck',
  'sensorImplausible',
  'sensorOutOfStep',
] as const

const SUBJECTS = ['site:quayside', 'room:floor', 'machine:roll', 'bottle:roll-waste']

function episodesIn(book: BookOfRecord): Episode[] {
  return SUBJECTS.flatMap((subjectKey) => [
    ...book.history.episodesTouchedAfter({ subjectKey, afterMs: -Infinity }),
  ])
}

/** How often each condition opened and closed over all runs: a property that never met its rule proves nothing. */
function createReach() {
  const opened = new Map<string, number>()
  const closed = new Map<string, number>()
  const add = (counts: Map<string, number>, key: string) => counts.set(key, (counts.get(key) ?? 0) + 1)
  return {
    note: (episodes: readonly Episode[]): void => {
      for (const e of episodes) {
        add(opened, e.condition)
        if (e.closedMs !== null) add(closed, e.condition)
      }
    },
    unreached: (): string[] =>
      IN_EVENT_TIME.flatMap((c) => [
        ...((opened.get(c) ?? 0) > 0 ? [] : [`${c} never opened`]),
        ...((closed.get(c) ?? 0) > 0 ? [] : [`${c} never closed`]),
      ]),
    counts: () => Object.fromEntries(opened),
  }
}

describe('every condition at once', { timeout: 900_000 }, () => {
  it('STEP-2 any order of arrival within the backlog window gives the same episodes', () => {
    const reach = createReach()
    const reached = { fromWindow: 0, fromRecords: 0, revised: 0 }
    fc.assert(
      fc.property(troubles, (t) => {
        const inOrder = createMemoryBookOfRecord()
        liveThrough(inOrder, arrivalsOf(t, false), TROUBLE_END_MS)
        const facts = episodesIn(inOrder)
        const shuffled = createMemoryBookOfRecord()
        const log = liveThrough(shuffled, arrivalsOf(t, true), TROUBLE_END_MS)
        expect(episodeFacts(episodesIn(shuffled))).toEqual(episodeFacts(facts))
        reach.note(facts)

        const replay = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: () => 1,
          restartAfter: () => false,
        })
        const effects = replay.effects.flat()
        reached.fromWindow += effects.filter((e) => e.type === 'subjectSnapshotsDropped').length
        reached.revised += effects.filter((e) => e.type === 'episodeCorrected').length
      }),
      { numRuns: 12, examples: TOURS.map((t) => [t]) },
    )
    expect(reach.unreached(), JSON.stringify(reach.counts())).toEqual([])
    expect(reached.fromWindow).toBeGreaterThan(500)
    expect(reached.revised).toBeGreaterThan(10)
  })

  it('STEP-3 how often the clock moves changes no episode', () => {
    const reach = createReach()
    fc.assert(
      fc.property(troubles, fc.integer({ min: 3_000, max: 600_000 }), (t, tickEveryMs) => {
        const seldom = createMemoryBookOfRecord()
        liveThrough(seldom, arrivalsOf(t, false), TROUBLE_END_MS)
        const often = createMemoryBookOfRecord()
        liveThrough(often, arrivalsOf(t, false), TROUBLE_END_MS, { tickEveryMs })
        const facts = episodesIn(seldom)
        expect(episodeFacts(episodesIn(often))).toEqual(episodeFacts(facts))
        reach.note(facts)
      }),
      { numRuns: 6, examples: TOURS.map((t, i) => [t, 20_000 + 47_000 * i]) },
    )
    expect(reach.unreached(), JSON.stringify(reach.counts())).toEqual([])
  })

  it('STEP-1 any chunking, with or without a restart between any two inputs, gives the same effects', () => {
    const reach = createReach()
    let restarts = 0
    const told = { notices: 0, escalations: 0, over: 0 }
    const cuts = fc.record({
      sizes: fc.array(fc.integer({ min: 1, max: 30 }), { minLength: 1, maxLength: 6 }),
      every: fc.integer({ min: 1, max: 12 }),
    })
    fc.assert(
      fc.property(troubles, cuts, (t, { sizes, every }) => {
        const book = createMemoryBookOfRecord()
        const log = liveThrough(book, arrivalsOf(t, true), TROUBLE_END_MS)
        reach.note(episodesIn(book))
        const plain = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: () => 1,
          restartAfter: () => false,
        })
        const cut = replayLog(createMemoryBookOfRecord(), log, {
          chunkOf: (i) => sizes[i % sizes.length] ?? 1,
          restartAfter: (i) => i % every === 0,
        })
        expect(cut.effects).toEqual(plain.effects)
        expect(cut.stateJson).toBe(plain.stateJson)
        restarts += log.length / every
        const notices = plain.effects.flat().flatMap((e) => (e.type === 'noticeQueued' ? [e.notice] : []))
        expect(new Set(notices.map((n) => n.key)).size).toBe(notices.length)
        told.notices += notices.length
        told.escalations += notices.filter((n) => n.kind === 'escalation').length
        told.over += notices.filter((n) => n.kind === 'over').length
      }),
      { numRuns: 6, examples: TOURS.map((t) => [t, { sizes: [1, 7, 2], every: 3 }]) },
    )
    expect(restarts).toBeGreaterThan(500)
    for (const count of Object.values(told)) expect(count).toBeGreaterThan(5)
    expect(reach.unreached(), JSON.stringify(reach.counts())).toEqual([])
  })
})

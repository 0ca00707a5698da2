import { beforeEach, expect, it } from 'vitest'
import { initialKernel } from '../../../../services/core/kernel/state.ts'
import type { NightStore } from '../../../../services/core/model/ports/night-store.ts'
import { createCausesDesk, type CausesDesk } from '../../../../services/monitor/causes-desk.ts'
import type { CausesJob, CausesWord } from '../../../../services/monitor/causes-work.ts'
import { inventedCauses } from '../../../parts/invented-causes.ts'
import { createMemoryNights } from '../../../parts/memory-nights.ts'
import { testSettings } from '../../../parts/shop-settings.ts'

const EVERYTHING = { from: null, to: null, machineId: null }
const ROLL = { ...EVERYTHING, machineId: 'roll' }
const RENEWED: CausesWord = {
  type: 'renewed',
  renewal: {
    modelVersion: '1',
    throughSeq: 1,
    nowMs: Date.parse('2026-11-30T11:00:00Z'),
    replaced: [],
    nights: [],
  },
}

interface Work {
  readonly job: CausesJob
  readonly hear: (word: CausesWord) => void
  readonly end: (error?: Error) => void
  stopped: boolean
}
let works: Work[]
let store: NightStore
let nowMs: number
let errors: object[]
let desk: CausesDesk

beforeEach(() => {
  works = []
  errors = []
  store = createMemoryNights().store
  nowMs = Date.parse('2026-11-30T08:00:00Z')
  const state = initialKernel(testSettings())
  desk = createCausesDesk({
    store,
    engine: { state: () => state },
    clock: { nowMs: () => nowMs },
    log: { info: () => undefined, error: (what: object) => void errors.push(what) },
    run: (job, hear) => {
      let end: Work['end'] = () => undefined
      const done = new Promise<void>(
        (resolve, reject) => (end = (error) => (error ? reject(error) : resolve())),
      )
      const work: Work = { job, hear, end, stopped: false }
      works.push(work)
      return {
        done,
        stop: async () => {
          work.stopped = true
          end()
        },
      }
    },
  })
})
const last = (): Work => {
  const work = works.at(-1)
  if (!work) throw new Error('nothing was begun')
  return work
}

it('DESK-1 the same question joins what is under way, another takes its place', () => {
  desk.start(EVERYTHING)
  desk.start(EVERYTHING)
  expect(works).toHaveLength(1)
  last().hear({ type: 'progress', share: 0.5, doing: 'Exchanging weeks' })
  expect(desk.status(EVERYTHING).work).toEqual({ share: 0.5, doing: 'Exchanging weeks' })
  expect(desk.status(ROLL).work).toBe(null)
  desk.start(ROLL)
  expect(works.map((w) => w.stopped)).toEqual([true, false])
  expect(desk.status(EVERYTHING).work).toBe(null)
})

it('DESK-2 a page is current until a verdict is frozen, a night changes, or noon has passed', async () => {
  desk.start(EVERYTHING)
  last().hear(RENEWED)
  last().hear({ type: 'page', page: inventedCauses('few') })
  last().end()
  await Promise.resolve()
  expect(desk.status(EVERYTHING)).toMatchObject({
    isCurrent: true,
    page: { headline: inventedCauses('few').headline },
  })
  nowMs = Date.parse('2026-11-30T11:00:01Z')
  expect(desk.status(EVERYTHING).isCurrent).toBe(false)
  nowMs = Date.parse('2026-11-30T08:00:00Z')
  store.freeze([
    {
      month: '2026-10',
      fromDay: 1,
      frozenMs: 1,
      modelVersion: '1',
      verdict: { exposure: 'doseKpaH', kind: 'nothingSeen', direction: 0, text: '' },
    },
  ])
  expect(desk.status(EVERYTHING)).toMatchObject({ isCurrent: false, page: { counts: { clogs: 7 } } })
})

it('DESK-4 a failure is told with the cure, and what was kept stays; a new try takes it away', async () => {
  desk.start(EVERYTHING)
  last().end(new Error('the disk is gone'))
  await new Promise((resolve) => setImmediate(resolve))
  expect(desk.status(EVERYTHING)).toMatchObject({
    work: null,
    problem: 'It could not be worked out (the disk is gone). Try again; if that does not help, see the log.',
  })
  expect(errors).toEqual([{ reason: 'the disk is gone' }])
  desk.start(EVERYTHING)
  expect(desk.status(EVERYTHING).problem).toBe(null)
})

it('DESK-5 once a day from noon on, and the month before is frozen with the first run after its end', async () => {
  await desk.round()
  expect(works).toEqual([])
  nowMs = Date.parse('2026-11-30T11:00:00Z')
  const november = desk.round()
  expect(last().job).toMatchObject({ kind: 'daily', freeze: { month: '2026-10' } })
  last().hear(RENEWED)
  last().end()
  await november
  await desk.round()
  expect(works).toHaveLength(1)
  nowMs = Date.parse('2026-12-01T11:00:00Z')
  const december = desk.round()
  expect(last().job).toEqual({
    kind: 'daily',
    nowMs,
    freeze: { month: '2026-11', fromDay: Date.parse('2026-12-01') / 86_400_000 },
  })
  last().hear({
    type: 'verdicts',
    verdicts: [
      {
        month: '2026-11',
        fromDay: 20_788,
        frozenMs: nowMs,
        modelVersion: '1',
        verdict: { exposure: 'doseKpaH', kind: 'cannotTell', direction: 0, text: '' },
      },
    ],
  })
  last().end()
  await december
  expect(store.frozen().map((v) => v.month)).toEqual(['2026-11'])
  nowMs = Date.parse('2026-12-02T11:00:00Z')
  const next = desk.round()
  expect(last().job).toMatchObject({ kind: 'daily', freeze: null })
  last().end()
  await next
  await desk.stop()
})

it('DESK-6 however many ask for the table, one is worked out at a time, and none is older than its question', async () => {
  const turn = () => new Promise((resolve) => setImmediate(resolve))
  const first = desk.table()
  await turn()
  const others = [desk.table(), desk.table(), desk.table()]
  await turn()
  expect(works.map((w) => w.job.kind)).toEqual(['table'])
  last().hear({ type: 'table', rows: [['head'], ['old']] })
  last().end()
  expect(await first).toEqual([['head'], ['old']])
  await turn()
  expect(works).toHaveLength(2)
  last().end(new Error('the disk is gone'))
  for (const other of others) await expect(other).rejects.toThrow('the disk is gone')
  const again = [desk.table(), desk.table()]
  await turn()
  expect(works).toHaveLength(3)
  const afterwards = desk.table()
  const refused = Promise.all(
    [...again, afterwards].map((one) => expect(one).rejects.toThrow('ask again when it is back')),
  )
  await desk.stop()
  await refused
  expect(works).toHaveLength(3)
})

import { afterEach, describe, expect, it } from 'vitest'
import { createLongWork, type LongWork, type WorkView } from '../../../../services/monitor/long-work.ts'
import { waitFor } from '../../../parts/wait-for.ts'

const ENTRY = new URL('../../../parts/long-work-child.ts', import.meta.url)
let nowMs = 0
let work: LongWork
const open = (): LongWork =>
  (work = createLongWork({ context: {}, nowMs: () => nowMs, entry: ENTRY, mostMemoryMb: 48 }))
afterEach(() => work.close())

function started(order: string, kind = 'count'): string {
  const start = work.start(kind, order)
  if (!start.ok) throw new Error('it did not start')
  return start.id
}

function seen(id: string, is: (view: WorkView<number>) => boolean): Promise<WorkView<number>> {
  return waitFor('the work to come so far', () => {
    const view = work.look<number>(id)
    return view && is(view) ? view : null
  })
}

describe('long work on a thread of its own', { timeout: 60_000 }, () => {
  it('says how far it is, gives its parts, and is done', async () => {
    open()
    const view = await seen(started('count'), (v) => v.state !== 'running')
    expect(view).toMatchObject({ state: 'done', share: 1, parts: [1, 2], reason: null, leftMs: null })
    expect(work.newest('count')).toBe(view.id)
  })

  it('tells how long is left by its pace', async () => {
    open()
    nowMs = 1_000
    const id = started('wait')
    nowMs = 11_000
    const view = await seen(id, (v) => v.share === 0.25)
    expect(view.leftMs).toBe(30_000)
    nowMs = 0
  })

  it('LONG-1 only one of a kind runs at a time, and LONG-2 the newest can be asked for until the next begins', async () => {
    open()
    const id = started('wait')
    expect(work.start('count', 'count')).toEqual({ ok: false, runningId: id })
    const other = started('count', 'another kind')
    expect((await seen(other, (v) => v.state === 'done')).parts).toEqual([1, 2])
    expect(work.stop(id)).toBe(true)
    const next = started('count')
    await seen(next, (v) => v.state === 'done')
    expect(work.look(id)).toBeNull()
  })

  it('LONG-3 is stopped at once in the middle of anything, and what it gave stays', async () => {
    open()
    const id = started('wait')
    await seen(id, (v) => v.parts.length === 1)
    expect(work.stop(id)).toBe(true)
    expect(work.look(id)).toMatchObject({ state: 'stopped', parts: [1], reason: null })
    expect(work.stop(id)).toBe(false)
    expect(work.stop('unknown')).toBe(false)
    await work.close()
    expect(work.look(id)).toMatchObject({ state: 'stopped' })
  })

  it.each([
    ['throw', 'this head has no nozzles'],
    ['reject', 'nobody waited for this'],
    ['exit', 'exit code 3'],
    ['hoard', 'more than the 48 MB'],
  ])(
    'LONG-4 a thread that ends by %s is a failure with words, and nothing else ends',
    async (order, words) => {
      open()
      const view = await seen(started(order), (v) => v.state !== 'running')
      expect(view).toMatchObject({
        state: 'failed',
        parts: [1],
        reason: expect.stringContaining(words) as string,
      })
      expect((await seen(started('count'), (v) => v.state !== 'running')).state).toBe('done')
    },
  )
})

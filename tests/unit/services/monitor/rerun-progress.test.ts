import { expect, it } from 'vitest'
import { beginProgress, progressAfter, progressFailed } from '../../../../services/monitor/rerun-progress.ts'

const word = (share: number) => ({ type: 'progress' as const, share, doing: 'The tried limit' })

it('tells how long is left by its pace, once there is one', () => {
  const progress = beginProgress(1_000)
  expect(progressAfter(progress, word(0.005), 11_000).leftMs).toBeNull()
  expect(progressAfter(progress, word(0.25), 11_000)).toMatchObject({
    state: 'running',
    share: 0.25,
    doing: 'The tried limit',
    leftMs: 30_000,
  })
})

it('USE-3 a failure keeps how far it came, and says what to do', () => {
  const progress = progressAfter(beginProgress(0), word(0.5), 1_000)
  expect(progressFailed(progress, new Error('this head has no nozzles'))).toMatchObject({
    state: 'failed',
    share: 0.5,
    leftMs: null,
    reason: 'it broke off (this head has no nozzles). Nothing else was touched: start it again',
  })
})

import { describe, expect, it } from 'vitest'
import { PROOF_WAIT_MS } from '../../../../../services/core/kernel/shop-proof.ts'
import { nextDeadlineMs } from '../../../../../services/core/kernel/step.ts'
import { createWorkRun, T0 } from '../../../../parts/work-run.ts'

const BOTTLE = { kind: 'bottle', id: 'roll-waste' } as const
const MIN = 60_000

/** A full bottle on a scale, its task open for half an hour. */
function fullBottle() {
  const run = createWorkRun()
  run.knowBottle({ emptiedMs: null, massKg: 1.9 })
  run.alarm('bottleNear', BOTTLE)
  run.clock(T0 + 30 * MIN)
  const tasks = () => run.tasks().filter((t) => t.workKey === 'emptyBottle|bottle:roll-waste')
  const first = () => tasks()[0] ?? expect.fail('no task')
  const verdicts = () => first().proof.map((p) => p.verdict)
  return { ...run, bottles: tasks, first, verdicts }
}

describe('a sign-off against what sensors see', () => {
  it('SIGN-1 what the scale saw before the sign-off stands beside it at once, and nothing is waited for', () => {
    const run = fullBottle()
    run.knowBottle({ emptiedMs: T0 + 20 * MIN })
    run.signOff(run.first().id)
    expect(run.first()).toMatchObject({
      state: 'signedOff',
      proof: [{ verdict: 'proven', atMs: T0 + 30 * MIN }],
    })
    expect(run.first().proof[0]?.text).toMatch(/^The scale saw 1\.40 kg leave at/)
    expect(run.state().shop.proving.size).toBe(0)
  })

  it('SIGN-2 what the scale sees within the wait is added; an emptying before the task was opened is none', () => {
    const run = fullBottle()
    run.knowBottle({ emptiedMs: T0 - MIN, massKg: 1.9 })
    run.signOff(run.first().id)
    expect(run.verdicts()).toEqual(['notSeen'])
    run.knowBottle({ emptiedMs: T0 + 33 * MIN })
    run.clock(T0 + 34 * MIN)
    expect(run.verdicts()).toEqual(['notSeen', 'proven'])
    run.clock(T0 + 60 * MIN)
    expect(run.verdicts()).toEqual(['notSeen', 'proven'])
    expect(run.bottles()).toHaveLength(1)
  })

  it('SIGN-3 what speaks against it counts only after the wait; the signature and the alarm stay, and the work is asked for again', () => {
    const run = fullBottle()
    run.signOff(run.first().id, 'done')
    const endMs = T0 + 30 * MIN + PROOF_WAIT_MS
    expect(nextDeadlineMs(run.state())).toBe(endMs)
    run.restart()
    run.clock(endMs - 1)
    expect(run.first().proof.map((p) => p.verdict)).not.toContain('contradicted')
    expect(run.bottles()).toHaveLength(1)
    // The scale spoke all the while.
    run.knowBottle({ emptiedMs: null, massKg: 1.9 })
    run.clock(endMs)
    expect(run.verdicts()).toEqual(['notSeen', 'contradicted'])
    expect(run.first()).toMatchObject({ state: 'signedOff', signedOff: { note: 'done', actorId: 'ana' } })
    expect(run.bottles()[1]).toMatchObject({ state: 'open', alarmId: 'alarm-1', repeats: 1 })
    run.clock(endMs + PROOF_WAIT_MS)
    expect(run.bottles()).toHaveLength(2)
  })

  it('SIGN-3 when the alarm is over by then, nothing is asked for again', () => {
    const run = fullBottle()
    run.signOff(run.first().id)
    run.alarmOver('bottleNear', BOTTLE)
    run.clock(T0 + 30 * MIN + PROOF_WAIT_MS)
    expect([run.verdicts(), run.bottles().length]).toEqual([['notSeen', 'contradicted'], 1])
  })

  it('SIGN-2 what cannot be told after the wait either is told once', () => {
    const run = createWorkRun()
    run.alarm('bottleNear', BOTTLE)
    const id = run.tasks()[0]?.id ?? ''
    run.signOff(id)
    run.clock(T0 + PROOF_WAIT_MS)
    expect(run.tasks()[0]?.proof.map((p) => p.text)).toEqual(['No scale speaks for this bottle now.'])
    expect(run.state().shop.proving.size).toBe(0)
  })

  it('SIGN-1 work that no sensor of ours could ever tell has no proof, and nothing is waited for', () => {
    const run = createWorkRun()
    run.say({ type: 'routineStarted', routineId: 'pinch-rollers', subject: { kind: 'machine', id: 'roll' } })
    run.signOff(run.openId('pinch-rollers'))
    expect(run.tasksOf('pinch-rollers')).toMatchObject([{ state: 'signedOff', proof: [] }])
    expect(run.state().shop.proving.size).toBe(0)
  })
})

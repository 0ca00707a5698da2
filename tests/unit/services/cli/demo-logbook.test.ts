import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../../sensors/simulator/shop-plan.ts'
import { logOfARound } from '../../../../services/cli/demo-logbook.ts'
import { judgeAct } from '../../../../services/core/kernel/judge-act.ts'
import { initialKernel } from '../../../../services/core/kernel/state.ts'

const DAY = 86_400_000
const FIRST = Date.parse('2026-09-28T06:50:00Z')

describe('the logbook of the demo', () => {
  it('has a check most mornings, a few clogs that mostly a cleaning helped, and a note now and then', () => {
    const state = initialKernel(demoPlan().settings)
    const rounds = Array.from({ length: 60 }, (_, n) => logOfARound(state, 'demo-owner', FIRST + n * DAY))
    expect(rounds.flat().every((act) => judgeAct(state, act).ok)).toBe(true)
    const entries = rounds.flat().flatMap((act) => (act.type === 'logEntriesNoted' ? act.entries : []))
    const of = (kind: string) => entries.filter((e) => e.kind === kind)
    const machines = state.settings.machines.length
    const routine = entries.filter((e) => e.kind === 'nozzleCheck' && e.reason === 'routine')
    expect(routine.length).toBeGreaterThan(60 * machines * 0.8)
    expect(routine.length).toBeLessThan(60 * machines)
    expect(of('care').length).toBeGreaterThan(3)
    expect(of('care').length).toBeLessThan(routine.length * 0.25)
    expect(of('note').length).toBeGreaterThan(2)
    expect(logOfARound(state, 'demo-owner', FIRST)).toEqual(rounds[0])
  })
})

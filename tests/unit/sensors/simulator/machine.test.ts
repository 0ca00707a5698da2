import { describe, expect, it } from 'vitest'
import { createChance } from '../../../../sensors/simulator/chance.ts'
import {
  createMachine,
  type MachineStep,
  type SimulatedMachine,
} from '../../../../sensors/simulator/machine.ts'
import { demoPlan } from '../../../../sensors/simulator/shop-plan.ts'
import { openingCalendar } from '../../../../services/core/model/opening-hours.ts'

const HOUR = 3_600_000
const plan = demoPlan()
const calendar = openingCalendar(plan.settings)
const [roll] = plan.machines.filter((m) => m.id === 'roll-left')
/** A Monday, 01:00 in Brussels. */
const MONDAY = Date.parse('2026-11-23T00:00:00Z')

function rollFrom(startMs: number): SimulatedMachine {
  if (!roll) throw new Error('the demo shop has a roll machine')
  return createMachine(roll, createChance(5), calendar, startMs)
}

interface Seen extends MachineStep {
  readonly atMs: number
}

function live(
  lastsMs: number,
  powered: (atMs: number, last: Seen | undefined) => boolean,
  stepMs = 10_000,
): Seen[] {
  const machine = rollFrom(MONDAY)
  const seen: Seen[] = []
  for (let atMs = MONDAY + stepMs; atMs <= MONDAY + lastsMs; atMs += stepMs) {
    seen.push({ atMs, ...machine.step({ fromMs: atMs - stepMs, toMs: atMs }, powered(atMs, seen.at(-1))) })
  }
  return seen
}
const totalMl = (seen: readonly Seen[]): number => seen.reduce((sum, s) => sum + s.wasteMl, 0)

describe('a simulated machine', () => {
  it('MACHINE-1 prints only while the shop is open, and power is never negative', () => {
    const seen = live(7 * 24 * HOUR, () => true)
    const printing = seen.filter((s) => s.state === 'printing')
    expect(printing.length).toBeGreaterThan(1000)
    expect(printing.filter((s) => !calendar.isOpenAt(s.atMs))).toEqual([])
    expect(Math.min(...seen.map((s) => s.powerW))).toBeGreaterThanOrEqual(0)
  })

  it('MACHINE-2 cleans itself every four hours of power; a cleaning due in a job waits for its end', () => {
    const cleaned = live(7 * 24 * HOUR, () => true).filter((s) => s.cleaned)
    const gapsH = cleaned.slice(1).map((s, at) => (s.atMs - (cleaned[at]?.atMs ?? 0)) / HOUR)
    expect(cleaned.length).toBeGreaterThan(35)
    expect(Math.min(...gapsH)).toBeGreaterThanOrEqual(4)
    expect(Math.max(...gapsH)).toBeLessThan(5.2)
    expect(gapsH.some((gap) => gap > 4.1)).toBe(true)
  })

  it('MACHINE-3 a machine without power draws next to nothing, wastes nothing and does not clean', () => {
    const off = live(48 * HOUR, (atMs) => atMs < MONDAY + 2 * HOUR).slice(720)
    expect(new Set(off.map((s) => s.state))).toEqual(new Set(['off']))
    expect(Math.max(...off.map((s) => s.powerW))).toBeLessThan(0.5)
    expect(totalMl(off)).toBe(0)
  })

  it('MACHINE-4 power that falls while it prints leaves the head uncapped until it has started again', () => {
    let cutMs = Infinity
    const seen = live(14 * HOUR, (atMs, last) => {
      if (last?.state === 'printing' && cutMs === Infinity) cutMs = atMs
      return atMs < cutMs || atMs >= cutMs + HOUR
    })
    const after = seen.filter((s) => s.atMs >= cutMs && s.atMs < cutMs + HOUR)
    expect(after.length).toBe(360)
    expect(after.every((s) => s.state === 'off' && !s.capped)).toBe(true)
    const back = seen.filter((s) => s.atMs >= cutMs + HOUR)
    expect(back[0]?.state).toBe('starting')
    expect(back.find((s) => s.state === 'standby')?.capped).toBe(true)
  })

  it('MACHINE-5 the same week in steps of 10 s and of 2 min wastes the same ink', () => {
    const fine = totalMl(live(7 * 24 * HOUR, () => true))
    const coarse = totalMl(live(7 * 24 * HOUR, () => true, 120_000))
    expect(fine).toBeGreaterThan(500)
    expect(Math.abs(fine - coarse)).toBeLessThan(0.01)
  })

  it('MACHINE-6 a machine that starts in the middle of a day knows the jobs of that day', () => {
    const all = rollFrom(MONDAY)
    const late = rollFrom(MONDAY + 12 * HOUR)
    const states = (machine: typeof all, fromH: number): string[] =>
      Array.from({ length: 60 }, (_, n) => {
        const toMs = MONDAY + fromH * HOUR + (n + 1) * 60_000
        return machine.step({ fromMs: toMs - 60_000, toMs }, true).state
      }).map((state) => (state === 'printing' ? 'printing' : 'not'))
    for (let h = 0; h < 12; h++) states(all, h)
    expect(states(late, 12)).toEqual(states(all, 12))
  })
})

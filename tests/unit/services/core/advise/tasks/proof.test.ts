import { describe, expect, it } from 'vitest'
import { proofOf } from '../../../../../../services/core/advise/tasks/proof.ts'
import { factsOf } from '../../../../../../services/core/kernel/known-facts.ts'
import type { Subject } from '../../../../../../services/core/model/subject.ts'
import { testSettings } from '../../../../../parts/shop-settings.ts'
import { packInput } from '../../../../../parts/kernel-run.ts'
import { createWorkRun, HOUR, T0 } from '../../../../../parts/work-run.ts'

const ROLL = { kind: 'machine', id: 'roll' } as const
const HEAD = { kind: 'head', id: 'roll-head' } as const
const BOTTLE = { kind: 'bottle', id: 'roll-waste' } as const
const FLOOR = { kind: 'room', id: 'floor' } as const
type Run = ReturnType<typeof createWorkRun>

/** Verdict and words of the proof of a work that was asked for at T0, now. */
function proof(run: Run, work: string, subject: Subject): string {
  const told = proofOf({ workKey: `${work}|x`, subject, openedMs: T0 }, factsOf(run.state()), T0 + HOUR)
  return told ? `${told.verdict}: ${told.text}` : 'none'
}

describe('what sensors say of whether work was done', () => {
  it('PROOF-1 emptied: the scale saw the contents leave since, or still weighs them', () => {
    const run = createWorkRun()
    const said = () => proof(run, 'emptyBottle', BOTTLE)
    expect(said()).toBe('notSeen: No scale speaks for this bottle now.')
    run.knowBottle({ emptiedMs: null, massKg: 1.9 })
    expect(said()).toBe('contradicted: The weight has not fallen: 1.70 kg are still in it.')
    run.knowBottle({ emptiedMs: null, massKg: 0.24 })
    expect(said()).toBe('notSeen: The scale saw no emptying, and there is little in it.')
    run.bottle().standing = 'lifted'
    expect(said()).toBe('notSeen: The bottle is off its scale.')
    run.knowBottle({ emptiedMs: T0 - 1, massKg: 1.9 })
    expect(said()).toMatch(/^contradicted/)
    run.knowBottle({ emptiedMs: T0, massKg: 1.9 })
    expect(said()).toMatch(/^proven: The scale saw 1\.40 kg leave at 13:00/)
    run.bottle().standing = 'unknown'
    expect(said()).toMatch(/^notSeen/)
  })

  it('PROOF-1 a scale that is not at rest says nothing yet', () => {
    const run = createWorkRun()
    run.knowBottle({ emptiedMs: null })
    run.bottle().massKg = null
    expect(proof(run, 'emptyBottle', BOTTLE)).toBe('notSeen: The scale is not at rest yet.')
  })

  it('PROOF-2 powered: only a meter or a contact that says on is proof', () => {
    const run = createWorkRun()
    const said = () =>
      ['powerLost', 'leftOff', 'powerFlickering', 'mainsLost'].map((w) => proof(run, w, ROLL))
    const all = (text: string) => [text, text, text, text]
    run.machine().power.state = 'unknown'
    expect(said()).toEqual(all('notSeen: No meter or contact tells whether there is power.'))
    run.machine().power.state = 'off'
    expect(said()).toEqual(all('contradicted: Without power, as measured: Roll 60, left bench.'))
    run.machine().power.state = 'on'
    expect(said()).toEqual(all('proven: There is power, as measured.'))
  })

  it('PROOF-3 cleaned: seen since is proof; not seen speaks against it only where cleanings are recognised', () => {
    const run = createWorkRun()
    const said = () => ['wetNozzles', 'notCleaning'].map((w) => proof(run, w, HEAD).split(':')[0])
    const machine = run.machine()
    expect(said()).toEqual(['notSeen', 'notSeen'])
    machine.cleaningsVisible = true
    machine.recognition.count = 4
    expect(said()).toEqual(['notSeen', 'notSeen'])
    machine.recognition.count = 5
    expect(said()).toEqual(['contradicted', 'contradicted'])
    machine.cleanings.push({ atMs: T0 - 1, basis: 'seen' }, { atMs: T0 + 1, basis: 'logged' })
    expect(said()).toEqual(['contradicted', 'contradicted'])
    machine.power.printedToMs = T0
    expect(said()).toEqual(['proven', 'proven'])
    machine.power.printedToMs = null
    machine.cleanings.push({ atMs: T0 + 1, basis: 'seen' })
    expect(said()).toEqual(['proven', 'proven'])
  })

  it('PROOF-4 capped: as a person said, or as its power tells', () => {
    const run = createWorkRun()
    const said = () => proof(run, 'offItsCap', ROLL)
    expect(said()).toBe('notSeen: Nothing tells where the head is.')
    const { cap } = run.machine()
    expect(said()).toBe('notSeen: Nothing tells where the head is.')
    cap.sinceMs = T0
    expect(said()).toBe('proven: Its power tells that the head is home.')
    cap.by = 'person'
    expect(said()).toBe('proven: Somebody said that the head is on its cap.')
    cap.state = 'uncapped'
    expect(said()).toMatch(/^contradicted: It was said that the head of Roll 60, left bench is off its cap/)
    cap.state = 'probablyUncapped'
    expect(said()).toMatch(/^notSeen: The head is probably still off its cap/)
  })

  it('PROOF-5 humidity: above where the alarm closes is proof, below where it opens its opposite, between is neither', () => {
    const { sensors, limits } = testSettings()
    const { openBelow, closeAbove } = limits.airDryPct
    const said = (value: number | null, atMs = T0 + HOUR) => {
      const run = createWorkRun({ sensors })
      const readings = [
        { sensorId: 'bench/humidity', quantity: 'humidity' as const, atMs, value: value ?? 0 },
      ]
      if (value !== null) run.take(packInput(atMs, readings))
      return proof(run, 'moistenAir', FLOOR)
    }
    expect(said(null)).toBe('notSeen: No sensor tells the humidity of this room now.')
    expect(said(closeAbove)).toBe(`proven: Print floor is at ${closeAbove} %RH.`)
    expect(said((openBelow + closeAbove) / 2)).toMatch(/^notSeen: Print floor is at/)
    expect(said(openBelow)).toMatch(/^notSeen/)
    expect(said(openBelow - 1)).toBe(`contradicted: Print floor is at ${openBelow - 1} %RH.`)
    expect(said(closeAbove, T0)).toBe('notSeen: No sensor tells the humidity of this room now.')
  })

  it('PROOF-6 work that no sensor of ours could ever tell has no proof at all', () => {
    const run = createWorkRun()
    expect([proof(run, 'routine pinch-rollers', ROLL), proof(run, 'moveWhite', HEAD)]).toEqual([
      'none',
      'none',
    ])
  })
})

import { describe, expect, it } from 'vitest'
import {
  askingDueMs,
  nextAsked,
  snooze,
  takeTell,
  type AskingWorld,
} from '../../../../../../services/core/alarms/telling/ask.ts'
import type { Asking } from '../../../../../../services/core/alarms/telling/telling-state.ts'
import {
  hasWay,
  isAvailable,
  PROOF_HOLDS_MS,
  provenMsOf,
  waysOf,
} from '../../../../../../services/core/alarms/telling/who-is-asked.ts'
import { contactSchema, tellingSchema, type Contact } from '../../../../../../services/core/model/contact.ts'

const MIN = 60_000
const contact = (id: string, change: object = {}): Contact =>
  contactSchema.parse({ id, title: id, mail: `${id}@example.org`, ...change })
const [LENA, BO, CYR] = [contact('lena'), contact('bo'), contact('cyr')]

function asking(): Asking {
  return {
    id: 'ask-1',
    topic: 'alarm|alarm-1',
    alarmIds: ['alarm-1'],
    many: false,
    stopped: false,
    secondRound: false,
    allAsked: false,
    asked: [],
    told: [],
    what: '',
    fromMs: 0,
    sinceMs: 0,
    mainsOut: false,
    mainsBackMs: null,
    mainsBackDone: false,
  }
}

interface Course {
  readonly contacts?: readonly Contact[]
  readonly unproven?: readonly string[]
  readonly provenMs?: number
  readonly telling?: object
  readonly openFrom?: number
  readonly snoozes?: readonly (readonly [minute: number, contactId: string, untilMinute: number])[]
}

/** Who is told in which minute, when only the clock moves from one due time to the next. */
function course({ contacts = [LENA, BO], ...given }: Course, minutes = 600): string[] {
  const one = asking()
  const told: string[] = []
  const world = (nowMs: number): AskingWorld => ({
    nowMs,
    shopOpen: nowMs >= (given.openFrom ?? Infinity) * MIN,
    changeMs: given.openFrom !== undefined && nowMs < given.openFrom * MIN ? given.openFrom * MIN : null,
    contacts,
    telling: tellingSchema.parse(given.telling ?? {}),
    provenMs: (id) => (given.unproven?.includes(id) ? null : (given.provenMs ?? -MIN)),
  })
  const snoozes = [...(given.snoozes ?? [])]
  for (let nowMs = 0; nowMs <= minutes * MIN;) {
    for (const [minute, id, until] of snoozes) if (minute * MIN === nowMs) snooze(one, id, until * MIN)
    for (let tell = takeTell(one, world(nowMs)); tell; tell = takeTell(one, world(nowMs))) {
      told.push(`${nowMs / MIN} ${tell.contactId} ${tell.kind}`)
    }
    const dueMs = askingDueMs(one, world(nowMs))
    expect(dueMs).toBeGreaterThan(nowMs)
    const next = snoozes.map(([m]) => m * MIN).filter((ms) => ms > nowMs)
    nowMs = Math.min(dueMs, ...next)
  }
  return told
}

describe('how one cause is asked about', () => {
  it('ASK-1 the first that is available is told at once; where none is, the next opening or closing is awaited', () => {
    expect(course({}, 1)).toEqual(['0 lena alarm'])
    const byDay = contact('day', { times: 'openHours' })
    expect(course({ contacts: [byDay, BO] }, 1)).toEqual(['0 bo alarm'])
    expect(course({ contacts: [byDay], openFrom: 90 }, 91)).toEqual(['90 day alarm'])
    expect(course({ contacts: [] })).toEqual([])
  })
  it('ASK-2 reminded after five minutes, twice', () => {
    expect(course({ contacts: [LENA] })).toEqual(['0 lena alarm', '5 lena reminder', '10 lena reminder'])
    expect(course({ contacts: [LENA], telling: { reminders: 0 } })).toEqual(['0 lena alarm'])
    const byNight = contact('night', { times: 'closedHours' })
    expect(course({ contacts: [byNight], openFrom: 7 })).toEqual(['0 night alarm', '5 night reminder'])
  })
  it('ASK-3 the next is asked after ten minutes, one after the other', () => {
    expect(course({ contacts: [LENA, BO, CYR], telling: { reminders: 0 } }, 25)).toEqual([
      '0 lena alarm',
      '10 bo escalation',
      '20 cyr escalation',
    ])
  })
  it('ASK-3 one message and one repeat where the way home is not proven; nobody else', () => {
    expect(course({ unproven: ['lena'] })).toEqual(['0 lena alarm', '5 lena reminder'])
    expect(course({ unproven: ['lena'], telling: { reminders: 0 } })).toEqual(['0 lena alarm'])
    expect(course({ unproven: ['bo'], telling: { reminders: 0 } })).toEqual([
      '0 lena alarm',
      '10 bo escalation',
    ])
  })
  it('ASK-3 silence counts from the proof on', () => {
    expect(course({ provenMs: 6 * MIN, telling: { reminders: 0 } }, 17)).toEqual([
      '0 lena alarm',
      '16 bo escalation',
    ])
  })
  it('ASK-4 when all were asked it begins again, once', () => {
    expect(course({ telling: { reminders: 0 } })).toEqual([
      '0 lena alarm',
      '10 bo escalation',
      '20 lena escalation',
      '30 bo escalation',
    ])
  })
  it('ASK-5 a snooze holds the reminders of that contact and asks for one, and the next is asked all the same', () => {
    expect(course({ snoozes: [[2, 'lena', 17]] }, 19)).toEqual([
      '0 lena alarm',
      '10 bo escalation',
      '15 bo reminder',
      '17 lena reminder',
    ])
    expect(course({ contacts: [LENA], snoozes: [[12, 'lena', 42]] })).toEqual([
      '0 lena alarm',
      '5 lena reminder',
      '10 lena reminder',
      '42 lena reminder',
    ])
  })
  it('ASK-6 after a gap one word comes, not all that were missed', () => {
    const one = asking()
    const at = (minute: number): AskingWorld => ({
      nowMs: minute * MIN,
      shopOpen: false,
      changeMs: null,
      contacts: [LENA],
      telling: tellingSchema.parse({}),
      provenMs: () => null,
    })
    expect(takeTell(one, at(0))).toMatchObject({ kind: 'alarm' })
    expect(takeTell(one, at(300))).toMatchObject({ kind: 'reminder' })
    expect(takeTell(one, at(300))).toBeNull()
  })
  it('who is asked next is said before it happens, and that it is again', () => {
    const one = asking()
    const world: AskingWorld = {
      nowMs: 0,
      shopOpen: false,
      changeMs: null,
      contacts: [LENA, BO],
      telling: tellingSchema.parse({}),
      provenMs: () => -1,
    }
    takeTell(one, world)
    expect(nextAsked(one, world)).toMatchObject({ contact: { id: 'bo' }, atMs: 10 * MIN, again: false })
    takeTell(one, { ...world, nowMs: 10 * MIN })
    expect(nextAsked(one, world)).toMatchObject({ contact: { id: 'lena' }, atMs: 20 * MIN, again: true })
  })
})

describe('who can be told', () => {
  it('WHO-1 by the times that the owner chose', () => {
    const at = (times: string, open: boolean) => isAvailable(contact('x', { times }), open)
    expect([at('always', true), at('openHours', true), at('closedHours', true)]).toEqual([true, true, false])
    expect([at('always', false), at('openHours', false), at('closedHours', false)]).toEqual([
      true,
      false,
      true,
    ])
  })
  it('WHO-2 a contact that no way leads to is passed over', () => {
    const bare = contactSchema.parse({ id: 'x', title: 'X' })
    expect(hasWay(bare)).toBe(false)
    expect(hasWay({ ...bare, personId: 'p1' })).toBe(true)
    expect(hasWay({ ...bare, personId: 'p1', push: false })).toBe(false)
    expect(hasWay({ ...bare, webhookUrl: 'https://example.org/told' })).toBe(true)
    expect(course({ contacts: [bare, BO] }, 1)).toEqual(['0 bo alarm'])
  })
  it('WHO-3 a proof holds 90 days, by the same ways', () => {
    const proof = { provenMs: 1000, ways: waysOf(LENA) }
    expect(provenMsOf(LENA, proof, 1000)).toBe(1000)
    expect(provenMsOf(LENA, proof, 999 + PROOF_HOLDS_MS)).toBe(1000)
    expect(provenMsOf(LENA, proof, 1000 + PROOF_HOLDS_MS)).toBeNull()
    expect(provenMsOf({ ...LENA, mail: 'other@example.org' }, proof, 1000)).toBeNull()
    expect(provenMsOf(LENA, undefined, 1000)).toBeNull()
  })
})

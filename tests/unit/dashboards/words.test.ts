import { describe, expect, it } from 'vitest'
import { failureSentence, toFailure } from '../../../dashboards/src/api/answer.ts'
import { nameFromTitle } from '../../../dashboards/src/models/name-from-title.ts'
import { hashOf, invitationOf, routeOf, type Route } from '../../../dashboards/src/models/route.ts'
import {
  addMachine,
  addOpening,
  addRoom,
  likeMonday,
  pointerWords,
} from '../../../dashboards/src/models/settings-edits.ts'
import { bindingFrom, subjectChoices } from '../../../dashboards/src/models/sensor-subjects.ts'
import { byUrgency } from '../../../dashboards/src/models/tasks-model.ts'
import { byStanding } from '../../../dashboards/src/words/standing-words.ts'
import { nextStepLinks } from '../../../dashboards/src/words/next-step-links.ts'
import {
  humidityText,
  temperatureText,
  unbroken,
  volumeText,
} from '../../../dashboards/src/words/quantity-text.ts'
import { clockTime, durationText, nearTime, nightDay } from '../../../dashboards/src/words/shop-time.ts'
import { nameSchema } from '../../../services/core/model/name.ts'
import { emptySettings, sensorBindingSchema, settingsSchema } from '../../../services/core/model/settings.ts'
import { emptyBoard, inventedMachines, SHOP_NOW_MS } from '../../parts/invented-shop.ts'
import { inventedTasks } from '../../parts/invented-alarms.ts'
import { inventedSettings } from '../../parts/invented-tasks.ts'

const HOUR = 3_600_000

/** Non-breaking spaces as plain ones, so that the texts below can be read. */
const plain = (text: string): string => text.replaceAll('\u00A0', ' ')

describe('numbers', () => {
  it('UNIT-1 temperatures and volumes come in the units the owner likes', () => {
    expect(plain(temperatureText(21.44, 'degC'))).toBe('21.4 °C')
    expect(plain(temperatureText(21.4, 'degF'))).toBe('70.5 °F')
    expect(plain(volumeText(1240, 'mL'))).toBe('1240 mL')
    // 1 US fluid ounce is 29.5735295625 mL (NIST Handbook 44, appendix C).
    expect(plain(volumeText(1240, 'fl oz'))).toBe('41.9 fl oz')
  })

  it('UNIT-2 what is not known is said so, and a rounded zero has no minus', () => {
    expect(humidityText(null)).toBe('not known')
    expect(plain(temperatureText(-0.04, 'degC'))).toBe('0.0 °C')
  })

  it('UNIT-3 a number never parts from its unit at the end of a line', () => {
    expect(unbroken('bottle at 31 %, 3 h 5 min ago, 36 %RH')).toBe(
      'bottle at 31\u00A0%, 3\u00A0h 5\u00A0min ago, 36\u00A0%RH',
    )
  })
})

describe('times', () => {
  it("TIME-1 stand on the shop's clock, whatever zone this computer is in", () => {
    expect(clockTime(SHOP_NOW_MS, 'Europe/Brussels')).toBe('22:10')
    expect(clockTime(SHOP_NOW_MS, 'America/Chicago')).toBe('15:10')
    expect(clockTime(Date.UTC(2026, 0, 1), 'UTC')).toBe('00:00')
  })

  it('TIME-2 are told as near as needed', () => {
    const at = { timeZone: 'Europe/Brussels', nowMs: SHOP_NOW_MS }
    expect(nightDay('2026-11-25')).toBe('Wed 25 Nov 2026')
    expect(nearTime(SHOP_NOW_MS - HOUR, at)).toBe('21:10')
    expect(nearTime(SHOP_NOW_MS - 26 * HOUR, at)).toBe('Wed 20:10')
    expect(nearTime(SHOP_NOW_MS - 20 * 24 * HOUR, at)).toBe('6 Nov 22:10')
  })

  it('TIME-3 ages grow from seconds to days', () => {
    expect([3000, 59_400, 4 * 60_000, 2 * HOUR, 2 * HOUR + 300_000, 72 * HOUR].map(durationText)).toEqual([
      '3 s', '59 s', '4 min', '2 h', '2 h 5 min', '3 days',
    ]) // prettier-ignore
    expect(durationText(-5000)).toBe('0 s')
  })
})

describe('addresses', () => {
  it('ROUTE-1 a page is the same after it was written into the address and read back', () => {
    const routes: Route[] = [
      { page: 'board' },
      { page: 'tasks', taskId: null },
      { page: 'tasks', taskId: 'task|powerLost|machine:roll/60 %' },
      { page: 'sensors' },
      { page: 'setup', part: 'forms' },
      { page: 'setup', part: 'file' },
      { page: 'setup', part: 'walk', detail: 'room' },
      { page: 'setup', part: 'scale', detail: 'waste 1' },
    ]
    for (const route of routes) expect(routeOf(hashOf(route))).toEqual(route)
    expect(routeOf('#/nowhere')).toEqual({ page: 'board', isInstead: true })
    for (const hash of ['', '#', '#/', '#/board']) expect(routeOf(hash)).toEqual({ page: 'board' })
  })

  it('ROUTE-2 a code is read from the two addresses that carry one, and from no other', () => {
    expect(invitationOf('#first-owner=ab%2Dcd')).toEqual({ kind: 'firstOwner', code: 'ab-cd' })
    expect(invitationOf('#sign-in=xyz')).toEqual({ kind: 'signIn', code: 'xyz' })
    expect(invitationOf('#/tasks/1')).toBeNull()
    expect(invitationOf('#sign-in=')).toBeNull()
  })
})

describe('set-up', () => {
  it('SETUP-1 an id made of a title is one that the model takes, is free, and is no fixed word', () => {
    const titles = ['Roll 60, left bench', 'Été à l’étage', '机器', 'machine', '  ', 'a'.repeat(80), '--x--']
    for (const title of titles) {
      const name = nameFromTitle(title, { taken: [], fallback: 'printer' })
      expect(nameSchema.safeParse(name).success).toBe(true)
    }
    expect(nameFromTitle('Roll 60', { taken: ['roll-60', 'roll-60-2'], fallback: 'x' })).toBe('roll-60-3')
    expect(nameFromTitle('Été', { taken: [], fallback: 'x' })).toBe('ete')
  })

  it('SETUP-2 rooms, machines and hours added in the forms are settings that the model takes', () => {
    const withRoom = addRoom(emptySettings(), ' Print floor ')
    const withMachine = addMachine(withRoom, 'Roll 60')
    const weekly = likeMonday(addOpening(addOpening([], 1), 6))
    const settings = { ...withMachine, hours: { weekly, holidays: [] } }
    expect(settingsSchema.parse(settings).rooms).toEqual([
      { id: 'print-floor', title: 'Print floor', airChangesPerH: 0.5, targetPct: 45, outdoors: false },
    ])
    expect(weekly.map((o) => o.weekday)).toEqual([1, 2, 3, 4, 5, 6])
  })

  it('SETUP-3 a sensor can go only where its quantity may, and keeps what the form does not ask', () => {
    const settings = inventedSettings()
    expect(subjectChoices('humidity', settings).map((c) => c.subject.kind)).toEqual(['room', 'room'])
    expect(subjectChoices('powered', settings).at(-1)?.subject).toEqual({ kind: 'site', id: 'quayside' })
    const foreign = { topicFilter: 'shop/air', pointer: '/h', scale: 1, offset: 0 }
    const known = { ...settings, sensors: settings.sensors.map((s) => ({ ...s, foreign })) }
    const given = { subject: { kind: 'room' as const, id: 'floor' }, title: ' Air ', intervalS: 30 }
    const binding = bindingFrom({ id: 'floor-node/humidity', quantity: 'humidity' }, given, known)
    expect(sensorBindingSchema.parse(binding)).toMatchObject({ title: 'Air', intervalMs: 30_000, foreign })
  })

  it('SETUP-4 each step of a new shop leads to the page it names', () => {
    expect(nextStepLinks(emptyBoard(SHOP_NOW_MS).nextSteps).map((s) => s.href)).toEqual([
      '#/setup', '#/setup', '#/sensors',
    ]) // prettier-ignore
  })

  it('SETUP-5 a fault names its place in words', () => {
    expect(pointerWords('/machines/0/room')).toBe('machines, no. 1, room')
  })
})

describe('order', () => {
  it('ORDER-1 what needs someone stands on top, and machines of one standing keep their order', () => {
    const machines = inventedMachines(SHOP_NOW_MS)
    expect(byStanding(machines).map((m) => m.standing)).toEqual([
      'actNow',
      'beforeOpening',
      'unknown',
      'setAside',
      'well',
      'well',
    ])
    const alike = machines.map((m) => ({ ...m, standing: 'well' as const }))
    expect(byStanding(alike).map((m) => m.id)).toEqual(machines.map((m) => m.id))
  })

  it('ORDER-2 tasks stand by urgency, then by how long they wait', () => {
    const order = inventedTasks(SHOP_NOW_MS)
      .filter((t) => t.state === 'open')
      .sort(byUrgency)
    expect(order.map((t) => t.id.split('|')[1])).toEqual([
      'offItsCap',
      'airDry',
      'bottleNear',
      'sensorSilent',
    ])
  })
})

describe('failures', () => {
  it('FAIL-1 a refusal is a sentence with the cure, and keeps its field faults', () => {
    const body = {
      title: 'Not signed in',
      detail: 'name or password is wrong: check both',
      errors: [{ pointer: '/name', detail: 'x' }, 7],
    }
    const failure = toFailure(401, body)
    expect(failure.kind).toBe('signedOut')
    expect(failure.errors).toEqual([{ pointer: '/name', detail: 'x' }])
    expect(failureSentence(failure)).toBe('Not signed in. Name or password is wrong: check both.')
  })

  it('FAIL-2 an answer that is no problem document still gives a cure', () => {
    expect(failureSentence(toFailure(502, '<html>'))).toMatch(/\(502\)\. Try again/)
  })
})

import { expect, it } from 'vitest'
import {
  atStart,
  machineTitleOf,
  nodeIdOf,
  nodeTitleOf,
  titleOf,
} from '../../../../../services/core/alarms/subject-title.ts'
import { settingsSchema } from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const settings = testSettings()
const sensor = (id: string) => ({ kind: 'sensor', id }) as const

it('rooms, machines, bottles, nodes and the site go by their titles', () => {
  expect(titleOf({ kind: 'room', id: 'floor' }, settings)).toBe('Print floor')
  expect(titleOf({ kind: 'machine', id: 'roll' }, settings)).toBe('Roll 60, left bench')
  expect(titleOf({ kind: 'bottle', id: 'roll-waste' }, settings)).toBe('Waste bottle, left bench')
  expect(titleOf({ kind: 'node', id: 'bench' }, settings)).toBe('Bench node')
  expect(titleOf({ kind: 'site', id: 'quayside' }, settings)).toBe('Quayside Film & Print')
})

it('ink goes by its machine, and by its head where there are several', () => {
  expect(titleOf({ kind: 'channelGroup', id: 'roll-white' }, settings)).toBe(
    'White ink of Roll 60, left bench',
  )
  expect(titleOf({ kind: 'head', id: 'roll-head' }, settings)).toBe('Head of Roll 60, left bench')
  const two = settingsSchema.parse({
    ...settings,
    machines: [
      {
        id: 'roll',
        title: 'Roll 60',
        room: 'floor',
        heads: [
          { id: 'l', title: 'left head', channelGroups: [{ id: 'lw', title: 'White ink', ink: 'white' }] },
          { id: 'r', title: 'right head', channelGroups: [{ id: 'rw', title: 'White', ink: 'white' }] },
        ],
      },
    ],
  })
  expect(titleOf({ kind: 'channelGroup', id: 'lw' }, two)).toBe('White ink (left head) of Roll 60')
  expect(titleOf({ kind: 'channelGroup', id: 'rw' }, two)).toBe('White ink (right head) of Roll 60')
})

it('a sensor goes by its title, else by what it measures where', () => {
  expect(titleOf(sensor('bench/humidity'), settings)).toBe('humidity in Print floor')
  expect(titleOf(sensor('bench/bottle'), settings)).toBe('weight of Waste bottle, left bench')
  expect(titleOf(sensor('bench/powered'), settings)).toBe('power contact at Roll 60, left bench')
  const named = testSettings({
    sensors: [
      { id: 'bench/h', title: 'Shelf', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
      { id: 'bench/mains', quantity: 'powered', subject: { kind: 'site', id: 'quayside' } },
    ],
  })
  expect(titleOf(sensor('bench/h'), named)).toBe('Shelf')
  expect(titleOf(sensor('bench/mains'), named)).toBe('mains detector of Quayside Film & Print')
})

it('what the settings do not know goes by its id', () => {
  for (const kind of ['room', 'machine', 'bottle', 'node', 'head', 'channelGroup'] as const) {
    expect(titleOf({ kind, id: 'gone' }, settings)).toBe('gone')
  }
  expect(titleOf(sensor('gone/humidity'), settings)).toBe('gone/humidity')
})

it('a part knows its machine, and a sensor its node', () => {
  expect(machineTitleOf({ kind: 'channelGroup', id: 'roll-white' }, settings)).toBe('Roll 60, left bench')
  expect(machineTitleOf({ kind: 'channelGroup', id: 'gone' }, settings)).toBe('gone')
  expect(nodeIdOf(sensor('bench/humidity'))).toBe('bench')
  expect(nodeIdOf({ kind: 'node', id: 'bench' })).toBe('bench')
  expect(nodeTitleOf(sensor('bench/humidity'), settings)).toBe('Bench node')
  expect(nodeTitleOf(sensor('bench/humidity'), testSettings({ nodes: [] }))).toBe('Humidity in Print floor')
  expect(atStart('humidity in Print floor')).toBe('Humidity in Print floor')
})

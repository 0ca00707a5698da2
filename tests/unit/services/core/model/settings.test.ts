import { describe, expect, it } from 'vitest'
import {
  emptySettings,
  problemOfTopicFilter,
  settingsSchema,
} from '../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

function problemsOf(change: Record<string, unknown>): string[] {
  const parsed = settingsSchema.safeParse({ ...testSettings(), ...change })
  return parsed.success ? [] : parsed.error.issues.map((i) => `${i.path.join('.')}: ${i.message}`)
}
const sensor = (change: Record<string, unknown>) => ({
  id: 'bench/extra',
  quantity: 'humidity',
  subject: { kind: 'room', id: 'floor' },
  ...change,
})

describe('settings', () => {
  it('an empty shop is valid and carries the starting values', () => {
    const { limits } = emptySettings()
    expect(limits.airDryPct).toEqual({
      openBelow: 40,
      closeAbove: 42,
      onDelayMs: 600_000,
      offDelayMs: 600_000,
    })
    expect(limits.powerOff).toEqual({
      closedMs: 60_000,
      openMs: 300_000,
      uncappedMs: 120_000,
      toldMs: 900_000,
    })
    expect(limits.doseKpaH).toEqual({ colour: 100, white: 60 })
    expect(limits.exposureFactor).toEqual({ capped: 1, uncapped: 50 })
    expect(limits.airVeryDryPct).toMatchObject({ openBelow: 30, closeAbove: 32 })
    expect(limits.bottleNearPct.openAbove).toBe(80)
  })
  it.each([
    ['a misspelt key', { limts: {} }, /Unrecognized key.*limts/],
    ['a misspelt limit', { limits: { airDryPct: { openBelov: 40 } } }, /openBelov/],
    [
      'an upside-down deadband',
      { limits: { airDryPct: { openBelow: 40, closeAbove: 38, onDelayMs: 0, offDelayMs: 0 } } },
      /closeAbove: closeAbove must not be below/,
    ],
    [
      'hours that end before they begin',
      { hours: { weekly: [{ weekday: 1, opens: '18:00', closes: '02:00' }] } },
      /closes must be later/,
    ],
    [
      'a time of day that is none',
      { hours: { weekly: [{ weekday: 1, opens: '8:00', closes: '25:00' }] } },
      /HH:MM/,
    ],
    ['a room that is not there', { rooms: [] }, /there is no room floor/],
    [
      'two machines of one id',
      { machines: [...testSettings().machines, ...testSettings().machines] },
      /stands twice/,
    ],
    [
      'a bottle for nobody',
      { bottles: [{ id: 'b', title: 'B', machines: [], capacityMl: 1, tareKg: 0 }] },
      /at least one machine/,
    ],
    [
      'humidity of a bottle',
      { sensors: [sensor({ subject: { kind: 'bottle', id: 'roll-waste' } })] },
      /humidity and temperature belong to a room/,
    ],
    [
      'a sensor of a subject that is not there',
      { sensors: [sensor({ subject: { kind: 'room', id: 'attic' } })] },
      /there is no room attic/,
    ],
    ['a sensor id without its node', { sensors: [sensor({ id: 'humidity' })] }, /its node, a slash/],
    ['a node named like a topic word', { nodes: [{ id: 'readings' }] }, /words of our topics/],
    [
      'a foreign binding that reaches into our topics',
      { sensors: [sensor({ foreign: { topicFilter: 'nightcap/v1/quayside/node/bench/readings' } })] },
      /must not reach into nightcap/,
    ],
    [
      'a pointer that is none',
      { sensors: [sensor({ foreign: { topicFilter: 'hut/air', pointer: 'value' } })] },
      /JSON Pointer/,
    ],
  ])('refuses %s, naming the field and the cure', (_name, change, expected) => {
    expect(problemsOf(change).join('\n')).toMatch(expected)
  })
  // MQTT 3.1.1 section 4.7.1: the examples of valid and invalid filters.
  it.each(['sport/tennis/player1/#', 'sport/tennis/+', 'sport/#', 'sport/+/player1'])(
    'takes the filter %s',
    (filter) => {
      expect(problemOfTopicFilter(filter)).toBeNull()
    },
  )
  it.each(['sport/tennis#', 'sport/tennis/#/ranking', 'sport+', '#', '+/tennis/#', '$SYS/#', 'nightcap/x'])(
    'refuses the filter %s',
    (filter) => expect(problemOfTopicFilter(filter)).not.toBeNull(),
  )
})

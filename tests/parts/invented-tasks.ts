import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import type { SensorsView } from '../../services/core/model/views.ts'

const MIN = 60_000
/** Settings of the invented shop whose board stands in invented-shop.ts. */
export function inventedSettings(): Settings {
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print', timeZone: 'Europe/Brussels' },
    hours: {
      weekly: [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '08:30', closes: '18:00' })),
      holidays: [],
    },
    rooms: [
      { id: 'floor', title: 'Print floor' },
      { id: 'back-room', title: 'Back room' },
    ],
    machines: [
      { id: 'roll', title: 'Roll 60, left bench', room: 'floor' },
      {
        id: 'window',
        title: 'Sheet A3, window',
        room: 'floor',
        selfCleaning: { kind: 'everyHours', hours: 6 },
      },
      { id: 'back', title: 'Sheet A3, back wall', room: 'back-room' },
      { id: 'corner', title: 'Roll 30, corner', room: 'back-room' },
    ],
    bottles: [
      {
        id: 'back-waste',
        title: 'Waste bottle, back wall',
        machines: ['back'],
        capacityMl: 2000,
        tareKg: 0.2,
      },
    ],
    nodes: [
      { id: 'floor-node', title: 'Print floor, left wall' },
      { id: 'corner-node', title: 'Corner node' },
    ],
    sensors: [
      { id: 'floor-node/humidity', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
      { id: 'floor-node/temperature', quantity: 'temperature', subject: { kind: 'room', id: 'floor' } },
      {
        id: 'floor-node/powered',
        title: 'Contact, left bench',
        quantity: 'powered',
        subject: { kind: 'machine', id: 'roll' },
      },
      { id: 'corner-node/scale', quantity: 'mass', subject: { kind: 'bottle', id: 'back-waste' } },
    ],
  })
}

export function inventedSensors(nowMs: number): SensorsView {
  const sensor = {
    unit: '%RH',
    title: null,
    assignedTo: null,
    lastAtMs: nowMs - 3000,
    silent: false,
    readings: 4120,
  }
  const floor = { kind: 'room', id: 'floor', title: 'Print floor' }
  return {
    sensors: [
      { ...sensor, id: 'floor-node/humidity', quantity: 'humidity', assignedTo: floor, lastValue: 45.2 },
      {
        ...sensor,
        id: 'floor-node/temperature',
        quantity: 'temperature',
        unit: 'Cel',
        assignedTo: floor,
        lastValue: 21.4,
      },
      {
        ...sensor,
        id: 'floor-node/powered',
        title: 'Contact, left bench',
        quantity: 'powered',
        unit: '/',
        assignedTo: { kind: 'machine', id: 'roll', title: 'Roll 60, left bench' },
        lastValue: 0,
      },
      {
        ...sensor,
        id: 'corner-node/humidity',
        quantity: 'humidity',
        assignedTo: { kind: 'room', id: 'back-room', title: 'Back room' },
        lastValue: 45,
        lastAtMs: nowMs - 185 * MIN,
        silent: true,
      },
      { ...sensor, id: 'floor-node/scale', quantity: 'mass', unit: 'kg', lastValue: 1.5021 },
    ],
    nodes: [
      {
        id: 'floor-node',
        title: 'Print floor, left wall',
        online: true,
        lastReceivedMs: nowMs - 3000,
        missingPacks: 0,
        droppedPacks: 0,
        hasSecret: true,
      },
      {
        id: 'corner-node',
        title: 'Corner node',
        online: false,
        lastReceivedMs: nowMs - 185 * MIN,
        missingPacks: 2,
        droppedPacks: 0,
        hasSecret: true,
      },
    ],
    quarantine: [
      {
        topic: 'nightcap/v1/quayside/node/corner-node/readings',
        code: 'UNIT_UNKNOWN',
        reason: 'The unit "percent" is not known: send humidity as %RH.',
        sample: '[{"bn":"corner-node/","n":"humidity","u":"percent","v":45}]',
        count: 3,
        firstMs: nowMs - 200 * MIN,
        lastMs: nowMs - 190 * MIN,
      },
    ],
    counts: { readings: 91_204, conflicts: 0, quarantined: 3, notJudged: 0, inputs: 91_260 },
  }
}

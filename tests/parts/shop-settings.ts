import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'

const MIN = 60_000

/** A small invented shop for tests: one room, one machine, one bottle, a sensor for each. */
export function testSettings(change: Record<string, unknown> = {}): Settings {
  return settingsSchema.parse({
    site: { id: 'quayside', title: 'Quayside Film & Print', timeZone: 'Europe/Brussels' },
    hours: {
      weekly: [1, 2, 3, 4, 5].map((weekday) => ({ weekday, opens: '08:30', closes: '18:00' })),
      holidays: [],
    },
    rooms: [{ id: 'floor', title: 'Print floor' }],
    machines: [
      {
        id: 'roll',
        title: 'Roll 60, left bench',
        room: 'floor',
        heads: [
          {
            id: 'roll-head',
            title: 'Head',
            channelGroups: [
              { id: 'roll-colour', title: 'Colour', ink: 'colour' },
              { id: 'roll-white', title: 'White', ink: 'white' },
            ],
          },
        ],
      },
    ],
    bottles: [
      {
        id: 'roll-waste',
        title: 'Waste bottle, left bench',
        machines: ['roll'],
        capacityMl: 2000,
        tareKg: 0.2,
        densityKgPerL: 1,
      },
    ],
    nodes: [{ id: 'bench', title: 'Bench node' }],
    sensors: [
      { id: 'bench/humidity', quantity: 'humidity', subject: { kind: 'room', id: 'floor' }, intervalMs: MIN },
      {
        id: 'bench/temperature',
        quantity: 'temperature',
        subject: { kind: 'room', id: 'floor' },
        intervalMs: MIN,
      },
      { id: 'bench/powered', quantity: 'powered', subject: { kind: 'machine', id: 'roll' }, intervalMs: MIN },
      {
        id: 'bench/bottle',
        quantity: 'mass',
        subject: { kind: 'bottle', id: 'roll-waste' },
        intervalMs: MIN,
      },
    ],
    ...change,
  })
}

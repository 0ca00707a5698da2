import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Arrival } from '../../../../../services/adapters/mqtt/arrival.ts'
import { judgeMessage } from '../../../../../services/adapters/mqtt/judge-message.ts'
import { toMessageIndex } from '../../../../../services/adapters/mqtt/message-index.ts'
import type { JudgedMessage } from '../../../../../services/core/model/ports/ingest.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const NOW = Date.UTC(2026, 2, 14, 22, 0, 0)
const room = { kind: 'room', id: 'floor' }
const index = toMessageIndex(
  testSettings({
    sensors: [
      {
        id: 'hall/air',
        quantity: 'humidity',
        subject: room,
        foreign: { topicFilter: 'hall/+/sensor', pointer: '/air/0/rh' },
      },
      {
        id: 'hall/heat',
        quantity: 'temperature',
        subject: room,
        foreign: {
          topicFilter: 'hall/+/sensor',
          pointer: '/heat',
          unit: 'degF',
          scale: 5 / 9,
          offset: -160 / 9,
        },
      },
      {
        id: 'plug/power',
        quantity: 'power',
        subject: { kind: 'machine', id: 'roll' },
        foreign: { topicFilter: 'plug/w' },
      },
      {
        id: 'plug/on',
        quantity: 'powered',
        subject: { kind: 'machine', id: 'roll' },
        foreign: { topicFilter: 'plug/relay' },
      },
      {
        id: 'nil/w',
        quantity: 'power',
        subject: { kind: 'machine', id: 'roll' },
        foreign: { topicFilter: 'nil', scale: 0 },
      },
      {
        id: 'spy/on',
        quantity: 'powered',
        subject: { kind: 'machine', id: 'roll' },
        foreign: { topicFilter: 'plug/#' },
      },
    ],
  }),
)
const READINGS = 'nightcap/v1/quayside/node/bench/readings'
const STATUS = 'nightcap/v1/quayside/node/bench/status'

function judge(payload: unknown, change: Partial<Arrival> = {}): JudgedMessage {
  const bytes =
    payload instanceof Uint8Array
      ? payload
      : Buffer.from(typeof payload === 'string' ? payload : JSON.stringify(payload))
  return judgeMessage({ topic: READINGS, payload: bytes, retained: false, receivedMs: NOW, ...change }, index)
}

function codes(judged: JudgedMessage): readonly string[] {
  return judged.rejections.map((r) => r.code)
}

/** Exactly one rejection, with a code and a reason, and nothing else of the message. */
function expectRefused(judged: JudgedMessage, code: string, reason: RegExp): void {
  expect(codes(judged)).toEqual([code])
  expect(judged.rejections[0]?.reason).toMatch(reason)
  expect([judged.readings, judged.status]).toEqual([null, null])
}

describe('a node pack', () => {
  it('is read: readings in order, the mark apart, intervals promised', () => {
    const t = NOW / 1000
    const judged = judge([
      { bn: 'bench/', bt: t, n: 'pack-sequence', v: 12 },
      { n: 'boot', vs: 'b-7f3' },
      { n: 'uptime', u: 's', v: 5_000 },
      { n: 'dropped', v: 2 },
      { n: 'temperature', u: 'Cel', v: 21.5, ut: 10 },
      { n: 'humidity', u: '%RH', v: 39.5, t: -10, ut: 10 },
      { n: 'humidity', u: '%RH', v: 39, ut: 10 },
    ])
    expect(judged.rejections).toEqual([])
    expect(judged.readings).toEqual({
      nodeId: 'bench',
      pack: { bootId: 'b-7f3', packSequence: 12, droppedPacks: 2 },
      readings: [
        { sensorId: 'bench/humidity', quantity: 'humidity', atMs: NOW - 10_000, value: 39.5 },
        { sensorId: 'bench/humidity', quantity: 'humidity', atMs: NOW, value: 39 },
        { sensorId: 'bench/temperature', quantity: 'temperature', atMs: NOW, value: 21.5 },
      ],
      intervalMsOf: new Map([
        ['bench/humidity', 10_000],
        ['bench/temperature', 10_000],
      ]),
    })
  })

  it.each<[string, object, string, number]>([
    ['%RH', { u: '%RH', v: 41 }, 'humidity', 41],
    ['Cel', { u: 'Cel', v: -3 }, 'temperature', -3],
    ['kg', { u: 'kg', v: 1.25 }, 'mass', 1.25],
    ['g, RFC 8428 12.1', { u: 'g', v: 1250 }, 'mass', 1.25],
    ['W', { u: 'W', v: 80 }, 'power', 80],
    ['kW, RFC 8798', { u: 'kW', v: 1.5 }, 'power', 1500],
    ['V', { u: 'V', v: 230 }, 'voltage', 230],
    ['mV, RFC 8798', { u: 'mV', v: 500 }, 'voltage', 0.5],
    ['A', { u: 'A', v: 2 }, 'current', 2],
    ['mA, RFC 8798', { u: 'mA', v: 20 }, 'current', 0.02],
    ['vb', { vb: true }, 'powered', 1],
    ['/', { u: '/', v: 0 }, 'powered', 0],
  ])('the unit decides the quantity: %s', (_, fields, quantity, value) => {
    const judged = judge([{ n: 'bench/s', ...fields }])
    expect(judged.rejections).toEqual([])
    expect(judged.readings?.readings).toEqual([{ sensorId: 'bench/s', quantity, atMs: NOW, value }])
  })

  it('JM-3 of a node that is not in the settings is heard all the same', () => {
    const judged = judge([{ n: 'newcomer/air', u: '%RH', v: 40 }], {
      topic: 'nightcap/v1/quayside/node/newcomer/readings',
    })
    expect(judged.readings?.nodeId).toBe('newcomer')
  })

  it('JM-4 the same reading twice counts once; another value for the same time is refused', () => {
    const judged = judge([
      { bn: 'bench/', n: 'air', u: '%RH', v: 40 },
      { n: 'air', u: '%RH', v: 40 },
      { n: 'air', u: '%RH', v: 44 },
    ])
    expect(judged.readings?.readings.map((r) => r.value)).toEqual([40])
    expect(codes(judged)).toEqual(['valueWrong'])
    expect(judged.rejections[0]?.reason).toContain('two values for one time')
  })

  it('may carry its mark alone', () => {
    const judged = judge([
      { bn: 'bench/', n: 'boot', vs: 'b' },
      { n: 'pack-sequence', v: 1 },
    ])
    expect(judged).toMatchObject({
      readings: { pack: { bootId: 'b', packSequence: 1, droppedPacks: 0 }, readings: [] },
      rejections: [],
    })
  })
})

describe('what cannot be used is told apart, and names field and cure', () => {
  it.each<[string, unknown, string, RegExp]>([
    ['not JSON', 'humidity=41', 'notJson', /not JSON: send one JSON array/],
    ['an empty payload', '', 'notJson', /not JSON/],
    ['NaN in JSON text', '[{"n":"bench/air","u":"%RH","v":NaN}]', 'notJson', /no NaN or Infinity: leave out/],
    ['Infinity in JSON text', '[{"n":"bench/air","u":"%RH","v":-Infinity}]', 'notJson', /no NaN or Infinity/],
    ['bytes that are not UTF-8', Buffer.from([0x81, 0xa1, 0xff]), 'notJson', /not UTF-8/],
    ['JSON but not SenML', { humidity: 41 }, 'notSenml', /array/],
    ['a number alone', '41', 'notSenml', /array/],
    ['an empty pack', [], 'notSenml', /empty/],
    ['a record that is text', ['x'], 'notSenml', /^\[0\]: .*object/],
    ['v as text', [{ n: 'bench/air', u: '%RH', v: '41' }], 'valueWrong', /^\[0\]\.v: .*without quotes/],
    ['1e999', '[{"n":"bench/air","u":"%RH","v":1e999}]', 'valueWrong', /^\[0\]\.v: .*too large/],
    ['null for a value', [{ n: 'bench/air', u: '%RH', v: null }], 'valueWrong', /^\[0\]\.v/],
    ['no value', [{ n: 'bench/air', u: '%RH' }], 'notSenml', /no value/],
    ['a field ending in _', [{ n: 'bench/air', u: '%RH', v: 4, new_: 1 }], 'notSenml', /ends in _/],
    ['a later version', [{ bver: 11, n: 'bench/air', u: '%RH', v: 4 }], 'notSenml', /bver: version 11/],
    [
      '%',
      [{ n: 'bench/air', u: '%', v: 41 }],
      'unitWrong',
      /u of bench\/air is %, which in SenML is a ratio.*%RH/,
    ],
    ['no unit', [{ n: 'bench/air', v: 41 }], 'unitWrong', /no unit: give u/],
    [
      'a unit no sensor has',
      [{ n: 'bench/air', u: 'Pa', v: 41 }],
      'unitWrong',
      /"Pa".*%RH, Cel, kg, W, V, A/,
    ],
    ['an unknown unit', [{ n: 'bench/air', u: 'percent', v: 41 }], 'unitWrong', /"percent"/],
    ['a hundredth of a contact', [{ n: 'bench/on', u: '/100', v: 100 }], 'unitWrong', /"\/100"/],
    [
      'humidity beyond 100',
      [{ n: 'bench/air', u: '%RH', v: 100.5 }],
      'valueWrong',
      /100\.5 %RH, but only 0 to 100/,
    ],
    ['temperature beyond reason', [{ n: 'bench/air', u: 'Cel', v: 850 }], 'valueWrong', /-60 to 120 Cel/],
    ['a contact that is 0.5', [{ n: 'bench/on', u: '/', v: 0.5 }], 'valueWrong', /true or false, or 1 or 0/],
    ['text for a sensor', [{ n: 'bench/air', u: '%RH', vs: 'dry' }], 'valueWrong', /send v or vb/],
    ['a sum for a sensor', [{ n: 'bench/air', u: 'W', s: 12 }], 'valueWrong', /send v or vb/],
    ['another node', [{ n: 'shelf/air', u: '%RH', v: 41 }], 'recordNameWrong', /under bench\/ only/],
    ['no node', [{ n: 'air', u: '%RH', v: 41 }], 'recordNameWrong', /under bench\/ only/],
    ['a name within a name', [{ n: 'bench/air/top', u: '%RH', v: 41 }], 'recordNameWrong', /one name/],
    ['a colon in a name', [{ n: 'bench/air:top', u: '%RH', v: 41 }], 'recordNameWrong', /one name/],
    ['no sensor name', [{ n: 'bench/', u: '%RH', v: 41 }], 'recordNameWrong', /one name/],
    ['a name outside the alphabet', [{ n: 'bench/Luftfeuchte ä', u: '%RH', v: 41 }], 'notSenml', /rename it/],
    [
      'a clock never set',
      [{ n: 'bench/air', u: '%RH', v: 41, t: 946_684_800 }],
      'clockBehind',
      /before 2020: set the node's clock/,
    ],
    [
      'a clock 121 s ahead',
      [{ n: 'bench/air', u: '%RH', v: 41, t: NOW / 1000 + 121 }],
      'clockAhead',
      /121 s ahead/,
    ],
    ['121 s ahead, relative', [{ n: 'bench/air', u: '%RH', v: 41, t: 121 }], 'clockAhead', /121 s ahead/],
    ['a sequence without a boot', [{ n: 'bench/pack-sequence', v: 4 }], 'valueWrong', /only together/],
    ['a sequence of 0', [{ n: 'bench/pack-sequence', v: 0 }], 'valueWrong', /whole number from 1/],
    ['a boot that is a number', [{ n: 'bench/boot', v: 4 }], 'valueWrong', /text of 1 to 64/],
    [
      'too many records',
      Array.from({ length: 10_001 }, () => ({})),
      'payloadTooLarge',
      /10001 records.*smaller packs/,
    ],
  ])('%s', (_, payload, code, reason) => {
    expectRefused(judge(payload), code, reason)
  })

  it.each<[string, Partial<Arrival>, string, RegExp]>([
    ['a retained reading', { retained: true }, 'retainedReading', /without the retain flag/],
    [
      'another site',
      { topic: 'nightcap/v1/harbour/node/bench/readings' },
      'otherSite',
      /"harbour", this is quayside/,
    ],
    [
      'an unknown topic of ours',
      { topic: 'nightcap/v1/quayside/node/bench/reading' },
      'topicUnknown',
      /readings and/,
    ],
    ['a deeper topic of ours', { topic: `${READINGS}/x` }, 'topicUnknown', /readings and/],
    ['another version', { topic: 'nightcap/v2/quayside/node/bench/readings' }, 'topicUnknown', /v1/],
    ['the state of a machine', { topic: 'nightcap/v1/quayside/machine/roll/state' }, 'topicUnknown', /only/],
    ['nightcap alone', { topic: 'nightcap' }, 'topicUnknown', /only/],
    [
      'a node outside the alphabet',
      { topic: 'nightcap/v1/quayside/node/b:1/readings' },
      'nodeUnknown',
      /letters, digits/,
    ],
    [
      'a node named like a topic word',
      { topic: 'nightcap/v1/quayside/node/machine/readings' },
      'nodeUnknown',
      /words of our topics/,
    ],
    ['a topic that no sensor is bound to', { topic: 'attic/air' }, 'topicUnknown', /add a binding/],
    ['a wrong status', { topic: STATUS }, 'valueWrong', /publish online, and offline as the last will/],
  ])('%s', (_, change, code, reason) => {
    expectRefused(judge([{ n: 'bench/air', u: '%RH', v: 41 }], change), code, reason)
  })

  it('a payload above 256 kB is not looked into, one of 256 kB is', () => {
    expectRefused(judge(Buffer.alloc(10_000_000, '[')), 'payloadTooLarge', /10000000 bytes.*smaller packs/)
    expect(codes(judge(Buffer.alloc(256 * 1024 + 1, ' ')))).toEqual(['payloadTooLarge'])
    const full = Buffer.alloc(256 * 1024, ' ')
    full.write('[{"n":"bench/air","u":"%RH","v":41}]')
    expect(judge(full).readings?.readings).toHaveLength(1)
  })

  it('exactly 120 s ahead is believed, and 2020 began at midnight', () => {
    const judged = judge([
      { bn: 'bench/', n: 'air', u: '%RH', v: 41, t: 120 },
      { n: 'old', u: '%RH', v: 41, t: Date.UTC(2020, 0, 1) / 1000 },
    ])
    expect(judged.rejections).toEqual([])
    expect(judged.readings?.readings.map((r) => r.atMs)).toEqual([Date.UTC(2020, 0, 1), NOW + 120_000])
  })

  it('JM-2 the sound records of a pack count whatever the others are', () => {
    const judged = judge(
      '[{"n":"bench/a","u":"%RH","v":41},{"n":"bench/b","u":"%RH","v":1e999},{"n":"bench/c","u":"%","v":41},{"n":"bench/d","u":"Cel","v":21},"x"]',
    )
    expect(judged.readings?.readings.map((r) => r.sensorId)).toEqual(['bench/a', 'bench/d'])
    expect(codes(judged)).toEqual(['valueWrong', 'notSenml', 'unitWrong'])
    expect(judged.rejections[0]?.sample).toBe('{"n":"bench/b","u":"%RH","v":null}')
    expect(judged.rejections.map((r) => r.reason.slice(0, 7))).toEqual(['[1].v: ', '[4]: th', 'u of be'])
  })

  it('JM-2 but where a wrong record carries base fields, what follows cannot be trusted', () => {
    const judged = judge('[{"bn":"bench/","n":"a","u":"%RH","v":"41"},{"n":"b","u":"%RH","v":41}]')
    expectRefused(judged, 'notSenml', /^\[0\]\.v/)
  })

  it('JM-2 and a pack with more than 16 records that are no SenML is refused whole', () => {
    const pack = (wrong: number): unknown => [
      { n: 'bench/a', u: '%RH', v: 41 },
      ...Array.from({ length: wrong }, () => 'x'),
    ]
    expect(judge(pack(16)).readings?.readings).toHaveLength(1)
    expect(judge(pack(16)).rejections).toHaveLength(16)
    expectRefused(judge(pack(17)), 'notSenml', /not an object/)
  })

  it('the sample is at most 1 kB and never half a character', () => {
    const { rejections } = judge('é'.repeat(2_000))
    expect(rejections[0]?.sample).toBe('é'.repeat(512))
    const binary = judge(Buffer.alloc(5_000, 0xff)).rejections[0]?.sample ?? ''
    expect(Buffer.byteLength(binary)).toBeLessThanOrEqual(1024)
  })

  it('a record nested without end is refused, not fatal', () => {
    const deep = `[{"n":"bench/a","v":${'['.repeat(60_000)}${']'.repeat(60_000)}}]`
    expect(codes(judge(deep))).toEqual(['valueWrong'])
  })
})

describe('the status of a node', () => {
  it.each([true, false])('is taken, retained or not (%s)', (retained) => {
    expect(judge('online', { topic: STATUS, retained })).toMatchObject({
      status: { nodeId: 'bench', online: true },
      rejections: [],
    })
    expect(judge('offline', { topic: STATUS, retained })).toMatchObject({
      status: { nodeId: 'bench', online: false },
    })
  })
})

describe('a foreign device', () => {
  it('feeds every binding that its topic matches, measured when it came', () => {
    const judged = judge({ heat: 68, air: [{ rh: 41.5 }] }, { topic: 'hall/east/sensor' })
    expect(judged.rejections).toEqual([])
    expect(judged.readings).toMatchObject({ nodeId: 'hall', pack: null })
    const [air, heat] = judged.readings?.readings ?? []
    expect(air).toEqual({ sensorId: 'hall/air', quantity: 'humidity', atMs: NOW, value: 41.5 })
    expect(heat).toMatchObject({ sensorId: 'hall/heat', quantity: 'temperature', atMs: NOW })
    expect(heat?.value).toBeCloseTo(20, 9)
  })

  it.each<[string, string, number]>([
    ['plug/w', '81.5', 81.5],
    ['plug/w', ' 81.5\n', 81.5],
    ['plug/w', '"81.5"', 81.5],
    ['plug/w', '+8e1', 80],
    ['plug/relay', 'ON', 1],
    ['plug/relay', 'off', 0],
    ['plug/relay', 'true', 1],
    ['plug/relay', '"False"', 0],
    ['plug/relay', '1', 1],
  ])('the whole payload is the value: %s %j gives %d', (topic, payload, value) => {
    expect(judge(payload, { topic, deviceId: 'plug' }).readings?.readings.map((r) => r.value)).toEqual([
      value,
    ])
  })

  it.each<[string, string, string, string, RegExp]>([
    [
      'hall/a/sensor',
      '{"heat":68}',
      'hall',
      'pointerMissing',
      /^hall\/air: .*"\/air\/0\/rh".*correct the pointer/,
    ],
    [
      'hall/a/sensor',
      '{"heat":68,"air":[{"rh":{}}]}',
      'hall',
      'valueWrong',
      /an object or a list, not a number/,
    ],
    ['hall/a/sensor', '{"heat":68,"air":[{"rh":120}]}', 'hall', 'valueWrong', /120 %RH, but only 0 to 100/],
    ['plug/w', '', 'plug', 'valueWrong', /not a number/],
    ['plug/w', 'on', 'plug', 'valueWrong', /"on", not a number/],
    ['plug/w', 'true', 'plug', 'valueWrong', /true, not a number/],
    ['plug/w', '0x10', 'plug', 'valueWrong', /"0x10", not a number/],
    ['plug/w', '1e999', 'plug', 'valueWrong', /Infinity W/],
    ['nil', '1e999', 'nil', 'valueWrong', /NaN W/],
    ['plug/w', 'NaN', 'plug', 'valueWrong', /"NaN", not a number/],
    ['plug/w', 'null', 'plug', 'valueWrong', /null, not a number/],
    ['plug/relay', 'open', 'plug', 'valueWrong', /"open", not true, false, on, off/],
    ['plug/relay', '230', 'plug', 'valueWrong', /230, but a contact/],
  ])('%s %j is refused', (topic, payload, deviceId, code, reason) => {
    const judged = judge(payload, { topic, deviceId })
    expect(codes(judged)).toEqual([code])
    expect(judged.rejections[0]?.reason).toMatch(reason)
  })

  it('a pointer into what is not JSON is told apart', () => {
    const judged = judge('68', { topic: 'hall/a/sensor' })
    expect(codes(judged)).toEqual(['pointerMissing', 'pointerMissing'])
    expect(codes(judge('hot', { topic: 'hall/a/sensor' }))).toEqual(['notJson', 'notJson'])
  })

  it('retained readings of it are ignored', () => {
    expectRefused(judge('81', { topic: 'plug/w', retained: true }), 'retainedReading', /may be old/)
  })

  it('speaks for its own sensors alone, however wide the filter of another is', () => {
    const sensorsOf = (deviceId?: string): unknown =>
      judge('on', {
        topic: 'plug/relay',
        ...(deviceId === undefined ? {} : { deviceId }),
      }).readings?.readings.map((r) => r.sensorId)
    expect(sensorsOf('plug')).toEqual(['plug/on'])
    expect(sensorsOf('spy')).toEqual(['spy/on'])
    expect(sensorsOf()).toEqual(['plug/on', 'spy/on'])
  })
})

const anyTopic = fc.constantFrom(
  READINGS,
  STATUS,
  'plug/w',
  'plug/relay',
  'hall/a/sensor',
  'nightcap/x',
  'attic',
)

describe('properties', () => {
  it('arbitrary bytes on any topic never throw, and are a reading, a status or a rejection', () => {
    fc.assert(
      fc.property(anyTopic, fc.uint8Array({ maxLength: 200 }), fc.boolean(), (topic, payload, retained) => {
        const { readings, status, rejections } = judge(Buffer.from(payload), { topic, retained })
        expect(readings !== null || status !== null || rejections.length > 0).toBe(true)
      }),
      { numRuns: 1_000 },
    )
  })

  it('arbitrary JSON never throws, and is a reading or a rejection', () => {
    fc.assert(
      fc.property(anyTopic, fc.jsonValue(), (topic, json) => {
        const { readings, rejections } = judge(JSON.stringify(json), { topic })
        expect(readings !== null || rejections.length > 0).toBe(true)
      }),
      { numRuns: 1_000 },
    )
  })

  it('JM-1 JM-4 every record is a reading, a repetition or a rejection: nothing vanishes, and the order holds', () => {
    const reached = { sound: 0, mixed: 0, repeated: 0, codes: new Set<string>() }
    const wild = fc.record({
      n: fc.constantFrom('bench/a', 'bench/b', 'shelf/a', 'bench/', 'a b'),
      u: fc.constantFrom('%RH', 'Cel', 'kW', '%', '/', 'x'),
      v: fc.constantFrom<unknown>(0, 1, 41, 1e6, '41', null),
      t: fc.constantFrom(0, -5, 500, 9e8),
    })
    const sound = fc.record({
      n: fc.constantFrom('bench/a', 'bench/b'),
      u: fc.constantFrom('%RH', 'Cel'),
      v: fc.constantFrom<unknown>(40, 41),
      t: fc.constantFrom(0, -5, -10),
    })
    const record = fc.oneof({ arbitrary: sound, weight: 3 }, { arbitrary: wild, weight: 1 })
    fc.assert(
      fc.property(fc.array(record, { minLength: 1, maxLength: 12 }), (records) => {
        const { readings, rejections } = judge(records)
        const kept = readings?.readings ?? []
        const keys = kept.map((r) => [r.atMs, r.sensorId, r.quantity].join(' '))
        expect(new Set(keys).size).toBe(keys.length)
        expect(keys).toEqual(
          kept
            .toSorted(
              (a, b) =>
                a.atMs - b.atMs ||
                (a.sensorId < b.sensorId
                  ? -1
                  : a.sensorId > b.sensorId
                    ? 1
                    : a.quantity < b.quantity
                      ? -1
                      : 1),
            )
            .map((r) => [r.atMs, r.sensorId, r.quantity].join(' ')),
        )
        const repeated = records.length - kept.length - rejections.length
        expect(repeated).toBeGreaterThanOrEqual(0)
        // A repetition can only be missing where its twin was kept.
        expect(repeated).toBeLessThanOrEqual(
          records.length - new Set(records.map((r) => JSON.stringify(r))).size,
        )
        if (kept.length === records.length) reached.sound++
        if (kept.length > 0 && rejections.length > 0) reached.mixed++
        if (repeated > 0) reached.repeated++
        for (const r of rejections) reached.codes.add(r.code)
      }),
      { numRuns: 2_000 },
    )
    expect(reached.sound).toBeGreaterThan(100)
    expect(reached.mixed).toBeGreaterThan(200)
    expect(reached.repeated).toBeGreaterThan(100)
    expect([...reached.codes].sort()).toEqual([
      'clockAhead',
      'clockBehind',
      'notSenml',
      'recordNameWrong',
      'unitWrong',
      'valueWrong',
    ])
  })
})

describe('scales that were calibrated on the page', () => {
  const corrected = toMessageIndex(
    testSettings({
      sensors: [
        {
          id: 'bench/scale',
          quantity: 'mass',
          subject: { kind: 'bottle', id: 'roll-waste' },
          correction: { scale: 2, offset: -0.5 },
        },
      ],
    }),
  )
  const judged = (records: readonly object[]): JudgedMessage => {
    const payload = new TextEncoder().encode(JSON.stringify(records))
    return judgeMessage({ topic: READINGS, payload, retained: false, receivedMs: NOW }, corrected)
  }

  it('JM-5 what was sent x scale + offset is the mass; other sensors stay as they are', () => {
    const { readings } = judged([
      { bn: 'bench/', bt: NOW / 1000, n: 'air', u: '%RH', v: 40 },
      { n: 'scale', u: 'kg', v: 1.25 },
    ])
    expect(readings?.readings.map(({ sensorId, value }) => [sensorId, value])).toEqual([
      ['bench/air', 40],
      ['bench/scale', 2],
    ])
  })

  it('JM-5 a corrected mass that is impossible is set aside with its reason, and its pack still counts', () => {
    const { readings, rejections } = judged([
      { bn: 'bench/', bt: NOW / 1000, n: 'scale', u: 'kg', v: 600 },
      { n: 'boot', vs: 'b' },
      { n: 'pack-sequence', v: 1 },
    ])
    expect(readings).toMatchObject({ readings: [], pack: { bootId: 'b' } })
    expect(rejections[0]).toMatchObject({ code: 'valueWrong' })
    expect(rejections[0]?.reason).toContain('bench/scale, corrected,')
  })
})

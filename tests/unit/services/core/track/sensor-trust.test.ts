import { describe, expect, it } from 'vitest'
import { DAY, drawsOf, HOUR, MINUTE, watchRoom, type Found } from './watched-room.ts'

/** Only what a test compares: who, what, and the four times. */
const brief = (found: readonly Found[]) =>
  found.map(({ condition, sensorId, finding }) =>
    finding.type === 'opened'
      ? [condition, sensorId, 'opened', finding.fromMs, finding.openedMs]
      : [condition, sensorId, 'closed', finding.toMs, finding.closedMs],
  )
/** Flickers in the last digit, as air does. */
const flicker = (atMs: number, around = 45): number => around + ((Math.floor(atMs / MINUTE) * 7) % 10) / 100

type Room = ReturnType<typeof watchRoom>
function feed(room: Room, id: string, fromMs: number, toMs: number, value: (atMs: number) => number): void {
  for (let atMs = fromMs; atMs < toMs; atMs += MINUTE) room.read(id, atMs, value(atMs))
}

describe('still', () => {
  it('STILL-1 a fine humidity sensor that repeats itself for 8 h is stuck, from the first of the equal readings', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, flicker)
    feed(room, 'floor/a', HOUR, 10 * HOUR, () => 45.27)
    expect(brief(room.found)).toEqual([['sensorStuck', 'floor/a', 'opened', HOUR, 9 * HOUR]])
  })
  it('STILL-1 one minute less than 8 h is not stuck', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, flicker)
    feed(room, 'floor/a', HOUR, 9 * HOUR, () => 45.27)
    feed(room, 'floor/a', 9 * HOUR, 10 * HOUR, flicker)
    expect(room.found).toEqual([])
  })
  it('STILL-1 fewer equal readings than ten prove nothing', () => {
    const room = watchRoom({ intervalMs: 2 * HOUR })
    for (const [i, value] of [45, 45.1, ...Array<number>(9).fill(45.2), 45.3].entries()) {
      room.read('floor/a', i * 2 * HOUR, value)
    }
    expect(room.found).toEqual([])
  })
  it('STILL-2 a source rounded to 1 %RH may stand still for 72 h, and not for longer', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, (atMs) => 45 + (Math.floor(atMs / MINUTE) % 2))
    feed(room, 'floor/a', HOUR, HOUR + 72 * HOUR, () => 47)
    expect(room.found).toEqual([])
    feed(room, 'floor/a', 73 * HOUR, 74 * HOUR, () => 47)
    expect(brief(room.found)).toEqual([['sensorStuck', 'floor/a', 'opened', HOUR, 73 * HOUR]])
  })
  it('STILL-2 a sensor that never changed since it was first heard is found out as a coarse one', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, 73 * HOUR, () => 45.27)
    expect(brief(room.found)).toEqual([['sensorStuck', 'floor/a', 'opened', 0, 72 * HOUR]])
  })
  it('STILL-2 outdoors even a fine sensor may stand at 100 %RH through a day of fog', () => {
    const room = watchRoom({ roomId: 'yard' })
    feed(room, 'yard/a', 0, HOUR, (atMs) => flicker(atMs, 98))
    feed(room, 'yard/a', HOUR, 48 * HOUR, () => 100)
    expect(room.found).toEqual([])
  })
  it('STILL-3 a silence begins the stretch anew', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, flicker)
    feed(room, 'floor/a', HOUR, 6 * HOUR, () => 45.27)
    feed(room, 'floor/a', 7 * HOUR, 14 * HOUR, () => 45.27)
    expect(room.found).toEqual([])
    feed(room, 'floor/a', 14 * HOUR, 16 * HOUR, () => 45.27)
    expect(brief(room.found)).toEqual([['sensorStuck', 'floor/a', 'opened', 7 * HOUR, 15 * HOUR]])
  })
  it('STILL-4 one change is not yet life; the second is, dated to the first', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, flicker)
    feed(room, 'floor/a', HOUR, 10 * HOUR, () => 45.27)
    feed(room, 'floor/a', 10 * HOUR, 11 * HOUR, () => 46)
    expect(room.found).toHaveLength(1)
    room.read('floor/a', 11 * HOUR, 46.1)
    expect(brief(room.found)[1]).toEqual(['sensorStuck', 'floor/a', 'closed', 10 * HOUR, 11 * HOUR])
  })
})

describe('plausible', () => {
  /** One reading a minute, from a list. */
  const feedAll = (room: Room, fromMs: number, values: readonly number[]): void =>
    values.forEach((value, i) => {
      room.read('floor/a', fromMs + i * MINUTE, value)
    })

  it('PLAUSIBLE-1 PLAUSIBLE-3 five readings below 2 %RH are sure, dated to the first, with the worst of them', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, HOUR, (atMs) => 12 + flicker(atMs, 0))
    feedAll(room, HOUR, [1.9, 1.5, 1, 0.5, 1.2, 0])
    expect(brief(room.found)).toEqual([['sensorImplausible', 'floor/a', 'opened', HOUR, HOUR + 4 * MINUTE]])
    expect(room.found[0]?.finding).toMatchObject({ value: 1.2, worst: 1.2 })
    expect(room.facts().trust['floor/a']?.implausible).toMatchObject({ worst: 0 })
  })
  it.each([
    ['humidity', 'floor', 2, 99.5, 1.99, 99.6],
    ['humidity', 'yard', 2, 100, 1.99, NaN],
    ['temperature', 'floor', -30, 60, -30.1, 60.1],
  ] as const)(
    'PLAUSIBLE-1 %s in the %s may be %d to %d',
    (quantity, roomId, lowest, highest, below, above) => {
      for (const [value, expected] of [
        [lowest, 0],
        [highest, 0],
        [below, 1],
        [above, 1],
      ] as const) {
        if (Number.isNaN(value)) continue
        const room = watchRoom({ quantity, roomId })
        for (let i = 0; i < 20; i++) room.read(`${roomId}/a`, i * MINUTE, value)
        expect(room.found).toHaveLength(expected)
      }
    },
  )
  it('PLAUSIBLE-2 three spikes within the hour are six jumps and are found; a change as fast as a door lets in is not', () => {
    const room = watchRoom()
    feedAll(room, 0, [45, 45.1, 80, 45.2, 45.1, 20, 45.2, 45.3, 45.2, 88, 45.1, 45.2])
    expect(brief(room.found)).toEqual([['sensorImplausible', 'floor/a', 'opened', 2 * MINUTE, 9 * MINUTE]])
    const draughty = watchRoom()
    feedAll(draughty, 0, [45, 30, 44, 29, 43, 28, 44, 30, 46, 31, 45, 30])
    expect(draughty.found).toEqual([])
  })
  it('PLAUSIBLE-2 the longer between two readings, the more may have changed; after a silence nothing is a jump', () => {
    const slow = watchRoom({ intervalMs: 10 * MINUTE })
    for (let i = 0; i < 20; i++) slow.read('floor/a', i * 10 * MINUTE, i % 2 === 0 ? 30 : 64)
    expect(slow.found).toEqual([])
    const silent = watchRoom({ intervalMs: MINUTE })
    for (let i = 0; i < 20; i++) silent.read('floor/a', i * 4 * MINUTE, i % 2 === 0 ? 20 : 90)
    expect(silent.found).toEqual([])
  })
  it('PLAUSIBLE-3 one bad reading condemns nobody, nor do four, nor five in less than two minutes', () => {
    const room = watchRoom()
    feedAll(room, 0, [45, 0, 45.1, 45.2, 45.3])
    feedAll(room, 2 * HOUR, [45, 0, 0, 0, 45.2, 45.1])
    for (let i = 0; i < 8; i++) room.read('floor/a', 4 * HOUR + i * 10_000, 0)
    expect(room.found).toEqual([])
  })
  it('PLAUSIBLE-3 bad readings more than an hour apart are not added up', () => {
    const room = watchRoom()
    for (let i = 0; i < 600; i++) room.read('floor/a', i * MINUTE, i % 61 === 0 ? 0 : flicker(i * MINUTE, 12))
    expect(room.found).toEqual([])
  })
  it('PLAUSIBLE-4 believed again after half an hour of good readings, dated to the first of them', () => {
    const room = watchRoom()
    feedAll(room, 0, [12, 0, 0, 0, 0, 0])
    feed(room, 'floor/a', 6 * MINUTE, 2 * HOUR, (atMs) => flicker(atMs, 12))
    expect(brief(room.found)[1]).toEqual(['sensorImplausible', 'floor/a', 'closed', 6 * MINUTE, 36 * MINUTE])
  })
  it('PLAUSIBLE-4 a bad reading among them begins the row anew', () => {
    const room = watchRoom()
    feedAll(room, 0, [12, 0, 0, 0, 0, 0])
    feed(room, 'floor/a', 6 * MINUTE, 30 * MINUTE, (atMs) => flicker(atMs, 12))
    room.read('floor/a', 30 * MINUTE, 1)
    feed(room, 'floor/a', 31 * MINUTE, 2 * HOUR, (atMs) => flicker(atMs, 12))
    expect(brief(room.found)[1]).toEqual(['sensorImplausible', 'floor/a', 'closed', 31 * MINUTE, 61 * MINUTE])
  })
  it('PLAUSIBLE-4 a silence among them begins the row anew: what nobody measured proves nothing', () => {
    const room = watchRoom()
    feedAll(room, 0, [12, 0, 0, 0, 0, 0])
    feed(room, 'floor/a', 6 * MINUTE, 30 * MINUTE, (atMs) => flicker(atMs, 12))
    feed(room, 'floor/a', 50 * MINUTE, 2 * HOUR, (atMs) => flicker(atMs, 12))
    expect(brief(room.found)[1]).toEqual(['sensorImplausible', 'floor/a', 'closed', 50 * MINUTE, 80 * MINUTE])
  })
  it('PLAUSIBLE-4 a sensor that was bad for three hours must be good for as long', () => {
    const room = watchRoom()
    feed(room, 'floor/a', 0, 3 * HOUR, () => 0)
    feed(room, 'floor/a', 3 * HOUR, 10 * HOUR, (atMs) => flicker(atMs, 12))
    expect(brief(room.found)[1]).toEqual([
      'sensorImplausible',
      'floor/a',
      'closed',
      3 * HOUR,
      6 * HOUR - MINUTE,
    ])
  })
})

describe('in step', () => {
  /** Sensors `a`, `b`, ... read one after another each minute. */
  function feedTogether(
    room: Room,
    [fromMs, toMs]: readonly [number, number],
    values: readonly ((atMs: number) => number)[],
  ): void {
    for (let atMs = fromMs; atMs < toMs; atMs += MINUTE) {
      values.forEach((value, i) => {
        room.read(room.ids[i] ?? '', atMs + i * 1000, value(atMs))
      })
    }
  }
  const above = (by: number) => (atMs: number) => flicker(atMs) + by

  it('STEP-1 of three, the odd one out is found after 12 h at the limit, dated to its first reading apart', () => {
    const room = watchRoom({ sensors: 3 })
    feedTogether(room, [0, HOUR], [above(0), above(1), above(-1)])
    feedTogether(room, [HOUR, 14 * HOUR], [above(0), above(1), above(12)])
    expect(room.found.map((f) => f.sensorId)).toEqual(['floor/c'])
    expect(room.found[0]?.finding).toMatchObject({ type: 'opened', fromMs: HOUR + 2000 })
  })
  it('STEP-1 of three, one that is 30 %RH off drags no good one along', () => {
    const room = watchRoom({ sensors: 3 })
    feedTogether(room, [0, 3 * DAY], [above(0), above(2), above(-30)])
    expect(room.found.map((f) => f.sensorId)).toEqual(['floor/c'])
    expect(room.found[0]?.finding).toMatchObject({ value: expect.closeTo(-30, 0) as number })
  })
  it('STEP-2 of two that drift apart neither can be believed', () => {
    const room = watchRoom({ sensors: 2 })
    feedTogether(room, [0, 10 * DAY], [above(0), (atMs) => flicker(atMs) + (2 * atMs) / DAY])
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([
      ['sensorOutOfStep', 'floor/b'],
      ['sensorOutOfStep', 'floor/a'],
    ])
  })
  it('STEP-2 of two, the one that leapt off alone is blamed', () => {
    const room = watchRoom({ sensors: 2 })
    feedTogether(room, [0, HOUR], [above(0), above(1)])
    feedTogether(room, [HOUR, 2 * DAY], [above(0), above(25)])
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([['sensorOutOfStep', 'floor/b']])
  })
  it('STEP-2 of two, the one that leapt off alone is blamed even when the other has the more readings', () => {
    const room = watchRoom({ sensors: 2, intervalMs: 5 * MINUTE })
    for (let atMs = 0; atMs < 2 * DAY; atMs += MINUTE) {
      room.read('floor/a', atMs, flicker(atMs))
      if (atMs % (5 * MINUTE) === 0)
        room.read('floor/b', atMs + 1, 45 + ((atMs / MINUTE) % 7) / 50 + (atMs < HOUR ? 0 : 29))
    }
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([['sensorOutOfStep', 'floor/b']])
  })
  it('STEP-2 of two, the one that stood still while the room moved is blamed alone', () => {
    const room = watchRoom({ sensors: 2 })
    feedTogether(room, [0, HOUR], [above(0), above(1)])
    feedTogether(
      room,
      [HOUR, 8 * HOUR],
      [(atMs) => flicker(atMs) + Math.min(30, (10 * (atMs - HOUR)) / HOUR), () => 46],
    )
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([['sensorOutOfStep', 'floor/b']])
  })
  it('STEP-3 the further apart the sooner, but never sooner than three hours', () => {
    const sureAfterH = (by: number): number => {
      const room = watchRoom({ sensors: 3 })
      feedTogether(room, [0, 20 * HOUR], [above(0), above(0), above(by)])
      const finding = room.found[0]?.finding
      return finding?.type === 'opened'
        ? Math.round((finding.openedMs - finding.fromMs) / (HOUR / 10)) / 10
        : NaN
    }
    expect([10.1, 20, 40, 54].map(sureAfterH)).toEqual([11.9, 6, 3, 3])
    expect(sureAfterH(10)).toBeNaN()
  })
  it('STEP-3 a silence ends the wait: 11 h apart, a night without a word, and 11 h apart again open nothing', () => {
    const room = watchRoom({ sensors: 3 })
    const values = [above(0), above(0), above(10.2)]
    feedTogether(room, [0, 11 * HOUR], values)
    feedTogether(room, [20 * HOUR, 31 * HOUR], values)
    expect(room.found).toEqual([])
  })
  it('STEP-3 a difference that comes and goes with the sun, 9 h a day, opens nothing', () => {
    const room = watchRoom({ sensors: 2, quantity: 'temperature' })
    const sunny = (atMs: number): number => 20 + flicker(atMs, 0) + (atMs % DAY < 9 * HOUR ? 6 : 0)
    feedTogether(room, [0, 5 * DAY], [(atMs) => 20 + flicker(atMs, 0), sunny])
    expect(room.found).toEqual([])
  })
  it('STEP-4 believed again after two hours back in step', () => {
    const room = watchRoom({ sensors: 3 })
    feedTogether(room, [0, DAY], [above(0), above(0), above(12)])
    feedTogether(room, [DAY, DAY + 5 * HOUR], [above(0), above(0), above(3)])
    expect(brief(room.found)[1]).toEqual([
      'sensorOutOfStep',
      'floor/c',
      'closed',
      DAY + 2000,
      DAY + 2 * HOUR + 2000,
    ])
  })
  it('STEP-4 when the other turns out stuck, the one it was compared with is believed again', () => {
    const room = watchRoom({ sensors: 2 })
    feedTogether(room, [0, 12 * DAY], [above(0), (atMs) => flicker(atMs) + (2 * atMs) / DAY])
    feedTogether(room, [12 * DAY, 13 * DAY], [above(0), () => 69])
    expect(room.found.map((f) => [f.condition, f.sensorId, f.finding.type])).toEqual([
      ['sensorOutOfStep', 'floor/b', 'opened'],
      ['sensorOutOfStep', 'floor/a', 'opened'],
      ['sensorStuck', 'floor/b', 'opened'],
      ['sensorOutOfStep', 'floor/a', 'closed'],
    ])
    // It comes back to life and is still off: by now it is known which of the two to blame.
    feedTogether(room, [13 * DAY, 15 * DAY], [above(0), above(24)])
    expect(room.found.slice(4).map((f) => [f.condition, f.sensorId, f.finding.type])).toEqual([
      ['sensorStuck', 'floor/b', 'closed'],
    ])
  })
  it('STEP-5 a silent sensor is not compared with', () => {
    const room = watchRoom({ sensors: 2 })
    feedTogether(room, [0, HOUR], [above(0), above(0)])
    feed(room, 'floor/a', HOUR, 2 * DAY, above(20))
    expect(room.found).toEqual([])
  })
  it('TRUST-3 a rail is one trouble: a sensor that rests on it is implausible, not stuck and not out of step', () => {
    const room = watchRoom({ sensors: 3 })
    feedTogether(room, [0, HOUR], [above(0), above(1), above(-1)])
    feedTogether(room, [HOUR, 4 * DAY], [above(0), above(1), () => 0])
    expect(room.found.map((f) => [f.condition, f.sensorId])).toEqual([['sensorImplausible', 'floor/c']])
  })
})

describe('trust', () => {
  it('a restart between any two readings changes nothing', () => {
    const draw = drawsOf(7)
    const readings = Array.from({ length: 1500 }, (_, i) => {
      const calm = 45 + draw()
      return {
        sensor: i % 3,
        atMs: i * 5 * MINUTE,
        value: i % 3 === 2 && i % 500 > 350 ? draw() * 100 : calm,
      }
    })
    const run = (restartEvery: number): unknown => {
      const room = watchRoom({ sensors: 3, intervalMs: 5 * MINUTE })
      readings.forEach(({ sensor, atMs, value }, i) => {
        if (i % restartEvery === 0) room.restart()
        room.read(room.ids[sensor] ?? '', atMs, value)
      })
      return { found: room.found, facts: room.facts() }
    }
    expect(run(1)).toEqual(run(Infinity))
    expect(run(Infinity)).toMatchObject({
      found: expect.arrayContaining([expect.objectContaining({ condition: 'sensorImplausible' })]) as unknown,
    })
  })
})

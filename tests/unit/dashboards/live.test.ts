import { describe, expect, it } from 'vitest'
import { createCoalescer } from '../../../dashboards/src/live/coalesce.ts'
import { backOffMs, createEventFeed, type EventLine } from '../../../dashboards/src/live/event-feed.ts'
import { readingsOf } from '../../../dashboards/src/live/readings.ts'
import { handClock } from '../../parts/hand-clock.ts'

describe('coalescer', () => {
  it('BURST-1 a burst runs once at once and once at the end, at most one a second', () => {
    const clock = handClock()
    const ran: number[] = []
    const { call } = createCoalescer({
      everyMs: 1000,
      run: () => ran.push(clock.timers.nowMs()),
      timers: clock.timers,
    })
    for (let i = 0; i < 30; i++) {
      call()
      clock.go(100)
    }
    clock.go(2000)
    expect(ran).toEqual([0, 1000, 2000, 3000])
  })
})

describe('event feed', () => {
  function openFeed() {
    const clock = handClock()
    const lines: { events: Map<string, (event: { data: string }) => void>; isClosed: boolean }[] = []
    const heard: unknown[] = []
    let opened = 0
    const feed = createEventFeed({
      open: (): EventLine => {
        const line = { events: new Map<string, (event: { data: string }) => void>(), isClosed: false }
        lines.push(line)
        return {
          addEventListener: (name, then) => void line.events.set(name, then),
          close: () => (line.isClosed = true),
        }
      },
      names: ['alarm'],
      onEvent: (_, data) => heard.push(data),
      onOpen: () => opened++,
      timers: clock.timers,
    })
    const fire = (name: string, data = '') => lines.at(-1)?.events.get(name)?.({ data })
    return { clock, feed, lines, heard, fire, opened: () => opened }
  }

  it('FEED-1 a lost line is told with its time, tried again with back-off, and asks anew when it stands', () => {
    const { clock, feed, lines, fire, opened } = openFeed()
    feed.start()
    fire('open')
    clock.go(5000)
    fire('error')
    expect(feed.lostSinceMs.value).toBe(5000)
    expect(clock.waiting()).toEqual([1000])
    clock.go(1000)
    fire('error')
    expect(clock.waiting()).toEqual([2000])
    expect(feed.lostSinceMs.value).toBe(5000)
    clock.go(2000)
    fire('open')
    expect(feed.lostSinceMs.value).toBeNull()
    expect(opened()).toBe(2)
    expect(lines.map((l) => l.isClosed)).toEqual([true, true, false])
  })

  it('FEED-2 waits double each time and never more than 30 s', () => {
    expect([0, 1, 4, 5, 60].map(backOffMs)).toEqual([1000, 2000, 16_000, 30_000, 30_000])
  })

  it('FEED-3 events of a line that was hung up are not heard', () => {
    const { feed, lines, heard, fire } = openFeed()
    feed.start()
    fire('alarm', '{"id":"a"}')
    const old = lines[0]
    feed.suspect()
    old?.events.get('alarm')?.({ data: '{"id":"b"}' })
    expect(heard).toEqual([{ id: 'a' }])
  })

  it('FEED-4 when stopped nothing is tried any more', () => {
    const { clock, feed, lines, fire } = openFeed()
    feed.start()
    fire('error')
    feed.stop()
    clock.go(60_000)
    expect(lines).toHaveLength(1)
    expect(feed.lostSinceMs.value).toBeNull()
  })

  it('FEED-5 readings without their form are left out', () => {
    const good = { sensorId: 'n/h', quantity: 'humidity', atMs: 1, value: 2 }
    expect(readingsOf({ readings: [good, { ...good, value: 'x' }, null] })).toEqual([good])
    expect(readingsOf(null)).toEqual([])
  })
})

import { describe, expect, it } from 'vitest'
import { UNREACHABLE, type Answer } from '../../../dashboards/src/api/answer.ts'
import { createClient } from '../../../dashboards/src/api/client.ts'
import { createPastModel } from '../../../dashboards/src/models/past-model.ts'
import type { HistoryView } from '../../../services/core/model/history-view.ts'

const NOW = Date.UTC(2026, 10, 26, 21, 10)
const DAY = 86_400_000

/** A model with a clock and a monitor that are moved by hand. */
function bench() {
  let nowMs = 0
  const timers: { atMs: number; then: () => void }[] = []
  const asked: { query: string; signal: AbortSignal; answer: (answer: Answer<HistoryView>) => void }[] = []
  const past = createPastModel(
    (query, signal) => new Promise((answer) => asked.push({ query, signal, answer })),
    {
      nowMs: () => nowMs,
      later: (ms, then) => {
        const timer = { atMs: nowMs + ms, then }
        timers.push(timer)
        return () => void (timer.atMs = Infinity)
      },
    },
    () => NOW,
  )
  const wait = async (ms: number): Promise<void> => {
    nowMs += ms
    for (const timer of timers.filter((t) => t.atMs <= nowMs)) {
      timer.atMs = Infinity
      timer.then()
    }
    await Promise.resolve()
  }
  const answer = async (n: number, value: string): Promise<void> => {
    asked[n]?.answer({ ok: true, value: { title: value } as unknown as HistoryView })
    await new Promise((resolve) => setImmediate(resolve))
  }
  return { past, asked, wait, answer }
}
const window = (days: number) => ({ fromMs: NOW - days * DAY, toMs: NOW })

describe('the model of the past', () => {
  it('asks at once for the last day, when it knows how wide the screen is', () => {
    const { past, asked } = bench()
    past.open('')
    expect(asked).toHaveLength(0)
    past.fit(800)
    expect(asked.map((a) => a.query)).toEqual([`from=${NOW - DAY}&to=${NOW}&points=800`])
  })
  it('a gesture asks once when it rests, and an answer that is outdated is given up and not shown', async () => {
    const { past, asked, wait, answer } = bench()
    past.fit(500)
    past.open('')
    await answer(0, 'day')
    for (const days of [2, 3, 4]) past.move(window(days))
    expect(asked).toHaveLength(1)
    await wait(200)
    expect(asked.map((a) => a.query).slice(1)).toEqual([`from=${NOW - 4 * DAY}&to=${NOW}&points=500`])
    past.move(window(9))
    await wait(200)
    expect(asked[1]?.signal.aborted).toBe(true)
    await answer(2, 'nine days')
    await answer(1, 'four days')
    expect(past.view.value).toEqual({ title: 'nine days' })
    expect(past.csvPath.value).toBe(`/api/v1/history.csv?from=${NOW - 9 * DAY}&to=${NOW}&points=500`)
  })
  it('what came to rest is in the link, once for a gesture', async () => {
    const { past, wait, answer } = bench()
    past.fit(500)
    past.open('')
    await answer(0, 'day')
    past.move(window(2))
    past.move(window(7))
    expect(past.settled.value).toBe('')
    await wait(600)
    expect(past.settled.value).toBe('from=2026-11-19T21:10:00Z&to=2026-11-26T21:10:00Z')
    past.choose({ machines: ['roll'], rooms: [], bottles: [] })
    await wait(0)
    expect(past.settled.value).toContain('machines=roll&rooms=&bottles=')
  })
  it('an address that says what is shown already changes nothing; another one is asked for', async () => {
    const { past, asked, wait, answer } = bench()
    past.fit(500)
    past.open('from=2026-11-19T21:10:00Z&to=2026-11-26T21:10:00Z&show=table')
    expect(past.isTable.value).toBe(true)
    await answer(0, 'week')
    past.open(past.settled.value)
    await wait(1000)
    expect(asked).toHaveLength(1)
    past.open('from=2026-11-20T21:10:00Z&to=2026-11-26T21:10:00Z')
    expect(asked).toHaveLength(2)
  })
  it('says what went wrong, and asks again when told to', async () => {
    const { past, asked } = bench()
    past.fit(500)
    past.open('')
    asked[0]?.answer({ ok: false, failure: UNREACHABLE })
    await new Promise((resolve) => setImmediate(resolve))
    expect(past.trouble.value).toMatch(/^The monitor does not answer\./)
    past.again()
    expect(asked).toHaveLength(2)
    past.forget()
    expect(asked[1]?.signal.aborted).toBe(true)
    expect(past.view.value).toBeNull()
  })
  it('giving up on an answer is no news about the line', async () => {
    let dead = 0
    const client = createClient({
      fetch: (_, { signal }) =>
        new Promise((_resolve, reject) =>
          signal?.addEventListener('abort', () => reject(new Error('aborted'))),
        ),
      onSignedOut: () => undefined,
      onUnreachable: () => void dead++,
      newKey: () => 'k',
      keep: async () => false,
    })
    const give = new AbortController()
    const answer = client.ask({ method: 'GET', path: '/api/v1/history', signal: give.signal })
    give.abort()
    expect(await answer).toMatchObject({ ok: false })
    expect(dead).toBe(0)
  })
})

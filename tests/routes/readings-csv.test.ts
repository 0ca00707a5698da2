import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createRowReader, readHeading } from '../../services/codecs/readings-csv.ts'
import type { Reading } from '../../services/core/model/input.ts'
import { openWebShop, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const T0 = 1_750_000_000_000
function hold(count: number): Reading[] {
  const readings = Array.from({ length: count }, (_, i) => ({
    sensorId: 'bench/humidity',
    quantity: 'humidity' as const,
    atMs: T0 + i * 1_000,
    value: 40 + (i % 80) / 8,
  }))
  shop.book.transaction(() => {
    shop.book.appendInput({ type: 'readings', atMs: T0, receivedMs: T0, seq: 1, nodeId: 'bench', readings })
  })
  return readings
}
const get = (query: string) => shop.send('technician', { url: `/api/v1/readings.csv?${query}` })

describe('GET /api/v1/readings.csv', () => {
  it('gives every reading of the window, more than a page, as an import takes them', async () => {
    const readings = hold(5_000)
    const answer = await get(`sensor=bench%2Fhumidity&from=${T0 + 1_000}&to=${T0 + 4_999_000}`)
    expect([answer.statusCode, answer.headers['content-type']]).toEqual([200, 'text/csv; charset=utf-8'])
    expect(answer.headers['content-disposition']).toBe('attachment; filename="bench-humidity.csv"')
    const [heading, ...lines] = answer.body.split('\r\n')
    expect(lines.pop()).toBe('')
    const columns = readHeading(heading)
    if (typeof columns === 'string') throw new Error(columns)
    const read = createRowReader(columns, T0 + 1e9)
    expect(lines.map((line) => read(line))).toEqual(
      readings.slice(1, 4_999).map((reading) => ({ ok: true, reading })),
    )
  })
  it('waits for whoever reads: of a past without an end only some pages are looked up ahead', async () => {
    const page = hold(2_000)
    let pages = 0
    const endless = (): readonly Reading[] => {
      if (++pages > 5_000) throw new Error('nobody has taken what came before')
      return page
    }
    Object.assign(shop.records, { readings: endless })
    const url = await shop.app.listen({ port: 0, host: '127.0.0.1' })
    const hangUp = new AbortController()
    const headers = shop.headersOf('technician')
    const answer = await fetch(`${url}/api/v1/readings.csv?sensor=bench%2Fhumidity&from=0&to=${T0 * 2}`, {
      headers,
      signal: hangUp.signal,
    })
    await answer.body?.getReader().read()
    for (let i = 0; i < 50; i++) await fetch(`${url}/api/v1/series/bench%2Fhumidity?from=1&to=2`, { headers })
    hangUp.abort()
    expect(pages).toBeGreaterThan(1)
    expect(pages).toBeLessThan(1_000)
  })
  it.each([
    ['sensor=bench%2Fhumidity&from=2&to=1', 400, /to.*must be later than from/],
    ['sensor=bench&from=0&to=1', 400, /a sensor id is its node/],
    ['from=0&to=1', 400, /sensor/],
    ['sensor=no%2Fbody&from=0&to=1', 404, /neither assigned nor heard/],
  ])('%s is refused, naming the field', async (query, status, words) => {
    const answer = await get(query)
    expect(answer.statusCode).toBe(status)
    expect(JSON.stringify(problemOf(answer))).toMatch(words)
  })
})

import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  coversTopicFilter,
  matchesTopicFilter,
  withoutCoveredFilters,
} from '../../../../../services/adapters/mqtt/topic-filter.ts'

describe('matchesTopicFilter: the examples of MQTT 3.1.1 section 4.7', () => {
  it.each<[string, string, boolean]>([
    // 4.7.1.2, multi-level wildcard
    ['sport/tennis/player1/#', 'sport/tennis/player1', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
    ['sport/#', 'sport', true],
    ['#', 'sport/tennis', true],
    // 4.7.1.3, single-level wildcard
    ['sport/tennis/+', 'sport/tennis/player1', true],
    ['sport/tennis/+', 'sport/tennis/player2', true],
    ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
    ['sport/+', 'sport', false],
    ['sport/+', 'sport/', true],
    ['+', 'sport', true],
    ['+/tennis/#', 'sport/tennis/player1', true],
    ['sport/+/player1', 'sport/tennis/player1', true],
    ['/finance', '/finance', true],
    ['+/+', '/finance', true],
    ['/+', '/finance', true],
    ['+', '/finance', false],
    // 4.7.2, topics that begin with $
    ['#', '$SYS/monitor/Clients', false],
    ['+/monitor/Clients', '$SYS/monitor/Clients', false],
    ['$SYS/#', '$SYS/monitor/Clients', true],
    ['$SYS/monitor/+', '$SYS/monitor/Clients', true],
    // 4.7.3, topic semantics
    ['ACCOUNTS', 'Accounts', false],
    ['Accounts payable', 'Accounts payable', true],
    ['finance', '/finance', false],
  ])('%s and %s: %s', (filter, topic, matches) => {
    expect(matchesTopicFilter(filter, topic)).toBe(matches)
  })
})

const level = fc.constantFrom('a', 'b', '')
const topics = fc.array(level, { minLength: 1, maxLength: 4 }).map((l) => ['hall', ...l].join('/'))
const filters = fc
  .tuple(fc.array(fc.constantFrom('a', 'b', '+', ''), { maxLength: 3 }), fc.constantFrom('', '#', 'a', '+'))
  .map(([middle, last]) => ['hall', ...middle, ...(last === '' ? [] : [last])].join('/'))

describe('withoutCoveredFilters', () => {
  it('gives each filter once, less those that another covers', () => {
    const kept = withoutCoveredFilters([
      'hall/+/t',
      'hall/a/t',
      'hall/+/t',
      'shed/#',
      'shed',
      'shed/+/x',
      'yard/a',
    ])
    expect(kept).toEqual(['hall/+/t', 'shed/#', 'yard/a'])
  })

  it('a filter that covers another matches whatever the other matches', () => {
    let covered = 0
    fc.assert(
      fc.property(filters, filters, topics, (wide, narrow, topic) => {
        if (!coversTopicFilter(wide, narrow) || !matchesTopicFilter(narrow, topic)) return
        covered++
        expect(matchesTopicFilter(wide, topic)).toBe(true)
      }),
      { numRuns: 3_000 },
    )
    expect(covered).toBeGreaterThan(20)
  })

  it('leaving out covered filters loses no topic', () => {
    let lost = 0
    fc.assert(
      fc.property(fc.array(filters, { minLength: 1, maxLength: 6 }), topics, (all, topic) => {
        const kept = withoutCoveredFilters(all)
        if (kept.length < new Set(all).size && all.some((f) => matchesTopicFilter(f, topic))) lost++
        expect(kept.some((f) => matchesTopicFilter(f, topic))).toBe(
          all.some((f) => matchesTopicFilter(f, topic)),
        )
      }),
      { numRuns: 2_000 },
    )
    expect(lost).toBeGreaterThan(20)
  })
})

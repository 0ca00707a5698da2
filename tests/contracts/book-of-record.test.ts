import { readFileSync } from 'node:fs'
import { afterEach, describe, expect, it } from 'vitest'
import { createMemoryRecords } from '../parts/memory-book-of-record.ts'
import { createSqliteBench } from '../parts/sqlite-records.ts'
import { bookOfRecordContract } from './book-of-record.contract.ts'
import { brokenBooks } from './broken-books.ts'
import { breaksRule, rulesIn } from './contract.ts'

const bench = createSqliteBench()
afterEach(bench.closeAll)

describe.each([
  ['in memory', createMemoryRecords],
  [
    'in SQLite',
    () => {
      const { book, reader } = bench.open()
      return { book, facts: reader }
    },
  ],
])('a book of record %s', (_, make) => {
  it.each(bookOfRecordContract.map((c) => [`${c.rule} ${c.name}`, c.check] as const))(
    '%s',
    (_name, check) => {
      check(make())
    },
  )
})

describe('the contract of a book of record', () => {
  it('has a check for every rule of its port', () => {
    const port = readFileSync(new URL('../../services/core/model/ports/records.ts', import.meta.url), 'utf8')
    const rules = [...rulesIn(port, 'BR'), ...rulesIn(port, 'SH')]
    expect(rules.length).toBeGreaterThanOrEqual(19)
    expect([...new Set(bookOfRecordContract.map((c) => c.rule))].sort()).toEqual(rules)
  })

  it.each(brokenBooks.map((b) => [b.rule, b.fault, b.breakIt] as const))(
    '%s refuses a book that %s',
    (rule, _fault, breakIt) => {
      expect(breaksRule(bookOfRecordContract, rule, () => breakIt(createMemoryRecords()))).toBe(true)
    },
  )
})

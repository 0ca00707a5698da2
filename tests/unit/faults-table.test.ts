import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'

const text = readFileSync('tests/README.md', 'utf8')
const table = text.slice(text.indexOf('## Faults')).split('\n## ')[0] ?? ''
/** Fault, file and name of the test, of each row. */
const rows = table
  .split('\n')
  .filter((line) => line.startsWith('| ') && line.includes('.test.ts'))
  .map((line) => {
    const [, file = '', name = ''] = /`([^`]+\.test\.ts)`: `([^`]+)` *\|$/.exec(line) ?? []
    return { line, file, name }
  })
const sourceOf = (file: string): string => readFileSync(join('tests', file), 'utf8')
/** Does a test of the file have this at the beginning of its name? */
const has = (file: string, name: string): boolean =>
  ["'", '"', '`'].some((quote) => sourceOf(file).includes(`${quote}${name}`))

describe('the table of faults', () => {
  it('every row names a test that is there', () => {
    expect(rows.length).toBeGreaterThan(30)
    const wrong = rows.filter(
      ({ file, name }) => name === '' || !existsSync(join('tests', file)) || !has(file, name),
    )
    expect(wrong.map(({ line }) => line)).toEqual([])
  })

  it('every test of a fault stands in the table, by its rule', () => {
    const missing = readdirSync('tests/faults').flatMap((name) => {
      const file = `faults/${name}`
      const rules = [
        ...new Set([...sourceOf(file).matchAll(/['"`]([A-Z]+-\d+)\b/g)].map(([, rule]) => rule ?? '')),
      ]
      const named = rows.filter((row) => row.file === file)
      if (named.length === 0) return [file]
      return rules.filter((rule) => !named.some((row) => row.name === rule)).map((rule) => `${file} ${rule}`)
    })
    expect(missing).toEqual([])
  })

  it('every row says what was done, what was lost and what the owner saw', () => {
    const empty = rows.filter(
      ({ line }) =>
        line.split('|').length !== 7 ||
        line
          .split('|')
          .slice(1, -1)
          .some((cell) => cell.trim() === ''),
    )
    expect(empty).toEqual([])
  })
})

import { readFileSync } from 'node:fs'

/**
 * Rows of a CSV file in tests/reference/data, by column name. The excerpts hold no quotes and no commas in fields,
 * so a split is enough; sources and licences stand in LICENSES.md beside them.
 */
export function referenceTable(file: string): readonly ReadonlyMap<string, string>[] {
  const text = readFileSync(new URL(`../reference/data/${file}`, import.meta.url), 'utf8')
  const [head, ...lines] = text.trimEnd().split('\n')
  const columns = (head ?? '').split(',')
  return lines.map((line) => new Map(line.split(',').map((field, at) => [columns[at] ?? '', field])))
}

/** The number in a column. @throws {RangeError} where there is none, so that a misspelt column fails the test. */
export function numberIn(row: ReadonlyMap<string, string>, column: string): number {
  const value = Number(row.get(column) || NaN)
  if (Number.isNaN(value)) throw new RangeError(`no number in column ${column}`)
  return value
}

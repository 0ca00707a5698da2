import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const folder = new URL('../../reference/data/', import.meta.url)
const sums = readFileSync(new URL('SHA256SUMS', folder), 'utf8')
  .trimEnd()
  .split('\n')
  .map((line) => ({ sha256: line.slice(0, 64), file: line.slice(66) }))

describe('reference data', () => {
  it.each(sums)('$file is byte for byte the file whose source LICENSES.md names', ({ file, sha256 }) => {
    expect(
      createHash('sha256')
        .update(readFileSync(new URL(file, folder)))
        .digest('hex'),
    ).toBe(sha256)
  })

  it('every data file has a sum and a licence', () => {
    const files = readdirSync(folder).filter((name) => /\.(csv|json)$/.test(name))
    expect(sums.map((s) => s.file).sort()).toEqual(files.sort())
    const licences = readFileSync(new URL('LICENSES.md', folder), 'utf8')
    expect(files.filter((file) => !licences.includes(`\`${file}\``))).toEqual([])
  })
})

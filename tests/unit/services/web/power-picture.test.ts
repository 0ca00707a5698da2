import fc from 'fast-check'
import { expect, it } from 'vitest'
import { powerColumns } from '../../../../services/web/power-picture.ts'

it('PICTURE-1 every minute falls into one column, and the columns meet', () => {
  let runs = 0
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 3000, noNaN: true }), { minLength: 1 }), (watts) => {
      const columns = powerColumns(watts.map((mean) => ({ mean })))
      expect(columns.reduce((n, c) => n + c.minutes, 0)).toBe(watts.length)
      columns.slice(1).forEach((column, at) => expect(column.fromW).toBe(columns[at]?.toW))
      runs++
    }),
  )
  expect(runs).toBeGreaterThan(50)
  expect(powerColumns([])).toEqual([])
})

import { expect, it } from 'vitest'
import { priorityOf } from '../../../../../services/core/alarms/priority.ts'
import { URGENCIES } from '../../../../../services/core/model/alarm.ts'
import { CONDITIONS } from '../../../../../services/core/model/episode.ts'

it('PRIORITY-1 follows from severity and time to act by the table, for every condition', () => {
  const rows = new Set(CONDITIONS.map((c) => URGENCIES.map((u) => priorityOf(c, u)).join(' ')))
  expect([...rows].sort()).toEqual(['high low low', 'high medium medium', 'medium low low'])
  expect(priorityOf('offItsCap', 'now')).toBe('high')
  expect(priorityOf('bottleNear', 'beforeOpening')).toBe('low')
  expect(priorityOf('sensorSilent', 'today')).toBe('low')
})

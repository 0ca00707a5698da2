/** A task of the invented shop. */
export const TASK = `#/tasks/${encodeURIComponent('task|offItsCap|machine:roll')}`
/** The scale of one of its bottles, being calibrated. */
const SCALE = '#/setup/scale/back-waste'

/** Every page of the board by its address, at the invented shop: each new page is added here. */
export const VIEWS = [
  '#/',
  '#/closing',
  '#/morning',
  TASK,
  '#/tasks',
  '#/alarms',
  '#/symptoms',
  '#/logbook',
  '#/logbook/waste',
  '#/logbook/import',
  '#/causes',
  '#/history',
  '#/history?from=2025-11-27T00:00:00Z&to=2026-11-26T21:10:00Z&show=table',
  '#/sensors',
  '#/setup',
  '#/setup/walk',
  '#/setup/walk/shop',
  '#/setup/walk/machine',
  '#/setup/walk/node',
  '#/setup/walk/sensors',
  '#/setup/walk/end',
  '#/setup/limits',
  '#/setup/scale',
  SCALE,
  '#/setup/power',
  '#/setup/file',
  '#/setup/changes',
  '#/setup/told',
  '#/setup/people',
  '#/phone',
  '#/rerun?limit=airDryPct.openBelow&value=38',
]

import type { LogEntry } from '../../services/core/model/log-entry.ts'
import type { Settings } from '../../services/core/model/settings.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR

/** What the people of the invented shop wrote down: a clog, the cleaning that helped, a new head, a note. */
export function inventedLogbook(settings: Settings, nowMs: number) {
  const machines = settings.machines.map(withHead)
  const [first, second = first] = machines
  if (!first || !second) throw new RangeError('the invented shop has machines')
  const groups = first.heads.flatMap((h) => h.channelGroups)
  const act = { actorId: 'person-1', via: 'screen' as const, atMs: nowMs }
  const shown = { by: 'Mira', void: false, act }
  const check = { kind: 'nozzleCheck' as const, reason: 'routine' as const, note: '', missing: [], ...shown }
  const missing = [{ channelGroupId: groups.at(-1)?.id ?? '', missingNozzles: 4, places: [13, 14, 27] }]
  const entries: (LogEntry & { by: string; corrections: number; helped: string | null })[] = [
    {
      ...check,
      checkId: 'c3',
      machineId: first.id,
      checkedMs: nowMs - HOUR,
      reason: 'afterCleaning',
      corrections: 0,
      helped: null,
    },
    {
      kind: 'care',
      careId: 'k1',
      machineId: first.id,
      care: 'cleaned',
      channelGroupIds: [groups.at(-1)?.id ?? ''],
      doneMs: nowMs - 2 * HOUR,
      helpedSaid: null,
      note: '',
      ...shown,
      corrections: 0,
      helped: 'yes',
    },
    {
      ...check,
      checkId: 'c2',
      machineId: first.id,
      checkedMs: nowMs - 3 * HOUR,
      missing,
      corrections: 1,
      helped: null,
    },
    {
      kind: 'note',
      noteId: 'n1',
      subject: { kind: 'room', id: settings.rooms[0]?.id ?? '' },
      text: 'The humidifier stood empty this morning.',
      atMs: nowMs - DAY,
      ...shown,
      corrections: 0,
      helped: null,
    },
    {
      ...check,
      checkId: 'c1',
      machineId: second.id,
      checkedMs: nowMs - DAY - HOUR,
      corrections: 0,
      helped: null,
    },
    {
      kind: 'headChange',
      changeId: 'h1',
      machineId: second.id,
      headId: second.heads[0]?.id ?? '',
      changedMs: nowMs - 9 * DAY,
      note: 'Fitted by the dealer.',
      ...shown,
      corrections: 0,
      helped: null,
    },
  ]
  const { rooms, bottles, site } = settings
  return { entries, moreBeforeMs: nowMs - 9 * DAY, machines, rooms, bottles, site }
}

/** The invented board knows machines without their heads. */
function withHead({ id, title }: Settings['machines'][number]) {
  const channelGroups = ['Colour', 'White'].map((ink) => ({ id: `${id}-${ink.toLowerCase()}`, title: ink }))
  return { id, title, heads: [{ id: `${id}-head`, title: 'Head', channelGroups }] }
}

export function inventedImportPlan(nowMs: number) {
  const check = {
    kind: 'nozzleCheck',
    checkId: 'i',
    machineId: 'roll',
    reason: 'routine',
    missing: [],
    note: '',
    void: false,
  }
  return {
    rows: 5,
    fresh: 2,
    known: 1,
    conflicts: 1,
    bad: 1,
    conflictLines: [{ line: 3, field: 'line', reason: 'stands in the logbook with other words or numbers' }],
    badLines: [
      {
        line: 4,
        field: 'checked_at',
        reason: '"14/3/2026" cannot be read as a time: write it as 2026-03-14 07:30',
      },
    ],
    ignored: ['weather'],
    sample: [{ ...check, checkedMs: nowMs }],
  }
}

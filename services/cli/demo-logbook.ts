import { createChance, type Stream } from '../../sensors/simulator/chance.ts'
import type { KernelState } from '../core/kernel/state.ts'
import type { Missing, SaidEntry } from '../core/model/log-entry.ts'
import type { Machine } from '../core/model/settings.ts'
import { subjectKey } from '../core/model/subject.ts'
import type { PastAct } from '../monitor/backfill.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
/** Invented: mornings without a check, clogs of a night, and how much oftener after a dry one. */
const FORGOTTEN = 0.12
const CLOGS = { colour: 0.03, white: 0.06 } as const
const DRY_BELOW_PCT = 40
const DRY_FACTOR = 3
const HELPS = 0.8
const NOTES = [
  'The humidifier stood empty this morning.',
  'The window to the yard was open all day.',
  'New roll of film on; the old one was damp at the edge.',
] as const

/** What the people of the demo write down on a round: a check of each machine, and what they did about clogs. */
export function logOfARound(state: KernelState, actorId: string, atMs: number): readonly PastAct[] {
  const chance = createChance(7)
  const day = Math.floor(atMs / DAY_MS)
  const entries = [
    ...state.settings.machines.flatMap((machine) =>
      checksOf(machine, { stream: chance.stream(machine.id), day, atMs, dry: isDry(state, machine) }),
    ),
    ...noteOf(state, chance.stream('notes'), atMs),
  ]
  const act = { actorId, via: 'screen', atMs } as const
  return entries.length === 0 ? [] : [{ type: 'logEntriesNoted', act, entries }]
}

interface Morning {
  readonly stream: Stream
  readonly day: number
  readonly atMs: number
  readonly dry: boolean
}

function checksOf(machine: Machine, { stream, day, atMs, dry }: Morning): readonly SaidEntry[] {
  const draw = stream.sequence(day)
  if (draw() < FORGOTTEN) return []
  const missing: Missing[] = []
  for (const { id, ink } of machine.heads.flatMap((h) => h.channelGroups)) {
    const isClogged = draw() < CLOGS[ink] * (dry ? DRY_FACTOR : 1)
    const missingNozzles = 1 + Math.floor(draw() * 6)
    const places = [Math.floor(draw() * 60)]
    if (isClogged) missing.push({ channelGroupId: id, missingNozzles, places })
  }
  const common = { machineId: machine.id, note: '', void: false }
  const check = { kind: 'nozzleCheck' as const, ...common }
  const first = {
    ...check,
    checkId: `demo-${machine.id}-${day}`,
    checkedMs: atMs - 15 * MINUTE_MS,
    reason: 'routine' as const,
    missing,
  }
  if (missing.length === 0) return [first]
  const left = draw() < HELPS ? [] : missing
  return [
    first,
    {
      kind: 'care',
      ...common,
      careId: `demo-${machine.id}-${day}`,
      care: 'cleaned',
      channelGroupIds: missing.map((m) => m.channelGroupId),
      doneMs: atMs - 10 * MINUTE_MS,
      helpedSaid: null,
    },
    {
      ...check,
      checkId: `demo-${machine.id}-${day}-again`,
      checkedMs: atMs - 3 * MINUTE_MS,
      reason: 'afterCleaning',
      missing: left,
    },
  ]
}

function isDry({ subjects }: KernelState, machine: Machine): boolean {
  const facts = subjects.get(subjectKey({ kind: 'machine', id: machine.id }))?.facts
  if (!facts || !('humidityPct' in facts)) return false
  return typeof facts.humidityPct === 'number' && facts.humidityPct < DRY_BELOW_PCT
}

function noteOf({ settings }: KernelState, stream: Stream, atMs: number): readonly SaidEntry[] {
  const day = Math.floor(atMs / DAY_MS)
  const text = NOTES[Math.floor(stream.at(day) * NOTES.length * 7)]
  const [room] = settings.rooms
  if (text === undefined || !room) return []
  return [
    {
      kind: 'note',
      noteId: `demo-note-${day}`,
      subject: { kind: 'room', id: room.id },
      text,
      atMs,
      void: false,
    },
  ]
}

import { describe, expect, it } from 'vitest'
import { judgeAct } from '../../../../../services/core/kernel/judge-act.ts'
import { noteInLog } from '../../../../../services/core/kernel/log-entries.ts'
import { initialKernel } from '../../../../../services/core/kernel/state.ts'
import type { Effect } from '../../../../../services/core/model/effect.ts'
import { inputBodySchema, type InputOf } from '../../../../../services/core/model/input.ts'
import {
  ENTRY_AHEAD_MS,
  OLDEST_ENTRY_MS,
  saidEntrySchema,
  type SaidEntry,
} from '../../../../../services/core/model/log-entry.ts'
import { careEntry, headChange, logNote, nozzleCheck, T0 } from '../../../../contracts/record-samples.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const act = { actorId: 'ana', via: 'screen' as const, atMs: T0 }
const stamp = { act, seq: 7, atMs: T0, receivedMs: T0 }
type Taken = InputOf<'nozzleCheckLogged' | 'careLogged' | 'headChanged' | 'logEntriesNoted'>
const noted = (input: Taken): readonly Effect[] => {
  const effects: Effect[] = []
  noteInLog(input, (effect) => effects.push(effect))
  return effects
}
const entriesOf = (input: Taken) => noted(input).flatMap((e) => (e.type === 'logEntryNoted' ? [e.entry] : []))
const said = (entry: object): SaidEntry =>
  saidEntrySchema.parse(Object.fromEntries(Object.entries(entry).filter(([field]) => field !== 'act')))
const judge = (...entries: object[]) =>
  judgeAct(initialKernel(testSettings()), { type: 'logEntriesNoted', act, entries: entries.map(said) })

describe('the logbook', () => {
  const common = { type: 'nozzleCheckLogged', machineId: 'roll', reason: 'routine' } as const
  const check = { ...common, missing: [] }

  it('LOG-1 a check, a cleaning and a new head become entries', () => {
    const full = { ...check, ...stamp, checkId: 'c', checkedMs: T0 - 5, note: 'after the weekend' }
    expect(entriesOf(full)).toEqual([nozzleCheck('c', { checkedMs: T0 - 5, note: 'after the weekend' })])
    const care = { type: 'careLogged', ...stamp, machineId: 'roll', care: 'cleaned' } as const
    expect(entriesOf({ ...care, channelGroupIds: [], careId: 'k', note: 'twice' })).toEqual([
      careEntry('k', { note: 'twice' }),
    ])
    const head = { machineId: 'roll', headId: 'roll-head', changedMs: T0, note: '' }
    expect(entriesOf({ type: 'headChanged', ...stamp, changeId: 'h', ...head })).toEqual([headChange('h')])
  })
  it('LOG-1 entries of one input are noted in their order, each with who said it', () => {
    const entries = [nozzleCheck('a'), logNote('n'), nozzleCheck('a', { void: true })]
    expect(entriesOf({ type: 'logEntriesNoted', ...stamp, entries: entries.map(said) })).toEqual(entries)
  })
  it('LOG-2 an entry of an earlier release is called by its place in the log, and happened when it was said', () => {
    const old = inputBodySchema.parse({ ...check, act, atMs: T0, receivedMs: T0 }) as Taken
    expect(entriesOf({ ...old, seq: 7 })).toEqual([nozzleCheck('check-7')])
    const care = { type: 'careLogged', ...stamp, machineId: 'roll', care: 'whiteStirred' } as const
    expect(entriesOf({ ...care, channelGroupIds: [] })).toEqual([
      careEntry('care-7', { care: 'whiteStirred' }),
    ])
  })
  it('LOG-3 that a machine printed is no entry', () => {
    const care = { type: 'careLogged', ...stamp, machineId: 'roll', care: 'printed' } as const
    expect(noted({ ...care, channelGroupIds: [] })).toEqual([])
  })
})

describe('what can be written down', () => {
  it('is not of the future, beyond a clock that is a little ahead, and not older than ten years', () => {
    expect(judge(nozzleCheck('a', { checkedMs: T0 + ENTRY_AHEAD_MS }))).toEqual({ ok: true })
    expect(judge(nozzleCheck('a', { checkedMs: T0 + ENTRY_AHEAD_MS + 1 }))).toMatchObject({
      code: 'invalid',
      reason: 'time: lies in the future; say when it was',
    })
    expect(judge(careEntry('a', { doneMs: T0 - OLDEST_ENTRY_MS }))).toEqual({ ok: true })
    expect(judge(careEntry('a', { doneMs: T0 - OLDEST_ENTRY_MS - 1 }))).toMatchObject({ code: 'invalid' })
  })
  it.each([
    [nozzleCheck('a', { machineId: 'none' }), 'machineId: there is no machine none; add it under Setup'],
    [
      nozzleCheck('a', { missing: [{ channelGroupId: 'black', missingNozzles: 1 }] }),
      'missing: Roll 60, left bench has no channel group black; name one of its own',
    ],
    [
      nozzleCheck('a', {
        missing: [1, 2].map((missingNozzles) => ({ channelGroupId: 'roll-white', missingNozzles })),
      }),
      'missing: roll-white stands there twice; name it once',
    ],
    [
      careEntry('a', { channelGroupIds: ['black'] }),
      'channelGroupIds: Roll 60, left bench has no channel group black; name one of its own',
    ],
    [
      headChange('a', { headId: 'third' }),
      'headId: Roll 60, left bench has no head third; name one of its own',
    ],
    [
      logNote('a', { subject: { kind: 'bottle', id: 'none' } }),
      'subject: there is no bottle none; choose another',
    ],
  ])('is of what the shop has: %#', (entry, reason) => {
    expect(judge(entry)).toEqual({ ok: false, code: 'invalid', reason })
  })
  it('names the entry among several, and takes what is void though its machine is gone', () => {
    const gone = nozzleCheck('gone', { machineId: 'none' })
    expect(judge(nozzleCheck('a'), gone)).toMatchObject({
      reason: expect.stringContaining('entry gone: machineId') as string,
    })
    expect(judge({ ...gone, void: true })).toEqual({ ok: true })
  })
})

import { snooze } from '../alarms/telling/ask.ts'
import { testWords } from '../alarms/telling/report-words.ts'
import { provenMsOf, waysOf } from '../alarms/telling/who-is-asked.ts'
import { LONGEST_SNOOZE_MS } from '../model/contact.ts'
import type { Effect } from '../model/effect.ts'
import type { Input, InputOf } from '../model/input.ts'
import { tellMainsBack } from './mains-back.ts'
import { askingsDueMs, askOn, beginAskings, followAskings } from './shop-askings.ts'
import type { Emit } from './shop-alarms.ts'
import { followHours, hoursDueMs, noteNight } from './shop-hours.ts'
import type { KernelState } from './state.ts'
import { askingWorld, queue, type TellingRun } from './telling-run.ts'

/** A test is worth sending this long. */
const TEST_MS = 15 * 60_000

/**
 * Who is told, when. It follows what the shop's alarms did in this step, and its own deadlines.
 *
 * TELL-1 at once goes only an alarm that cannot wait (urgency `now`), at night and by day; all else is on the board and
 *        in the morning report.
 * TELL-2 one cause, one asking: what joins an alarm, or changes its words, is not told by itself. An alarm is asked about
 *        anew only when it comes to call again: it had been answered, or could wait, and now cannot.
 * TELL-3 acknowledged, shelved, out of service, over, or no longer urgent: nobody is asked any more.
 * TELL-4 when it is over, everybody who was told hears so once, and nobody else; what was withdrawn turned out otherwise.
 * TELL-5 the mains of the shop is back and a machine that went with it is not: those who were told hear that first, and
 *        "over" only when the machine is on.
 * TELL-6 many at once are one message with one answer: whoever is on one of them is there, and sees the others.
 * TELL-7 without contacts nothing is queued and nothing is due.
 */
export function tellPeople(
  state: KernelState,
  input: Input,
  { effects, emit }: { effects: readonly Effect[]; emit: Emit },
): void {
  const slice = state.shop.telling
  const nowMs = Math.max(state.clockMs, input.receivedMs)
  const answered = takeAnswer(state, input, { nowMs, emit })
  const changed = effects.flatMap((e) => (e.type === 'alarmChanged' ? [e.alarm] : []))
  if (!answered && changed.length === 0 && nowMs < (slice.dueMs ?? Infinity)) return
  if (state.settings.contacts.length === 0) return forget(state)
  const run: TellingRun = { state, nowMs, emit, world: askingWorld(state, nowMs) }
  noteNight(run, changed)
  followAskings(run)
  beginAskings(run)
  askOn(run)
  tellMainsBack(run)
  followHours(run)
  const dueMs = Math.min(askingsDueMs(run), hoursDueMs(run))
  slice.dueMs = dueMs === Infinity ? null : dueMs
}

/** Takes what bears on who is told. Gives whether it was any such thing. */
function takeAnswer(state: KernelState, input: Input, by: { nowMs: number; emit: Emit }): boolean {
  if (input.type === 'settings') takeNewContacts(state, by.nowMs)
  else if (input.type === 'alarmSnoozed') takeSnooze(state, input)
  else if (input.type === 'replyPathProven') takeProof(state, input)
  else {
    if (input.type === 'noticeTestAsked') queueTest(state, input, by)
    return false
  }
  return true
}

function takeNewContacts(state: KernelState, nowMs: number): void {
  const { proofs } = state.shop.telling
  for (const id of proofs.keys()) if (!state.settings.contacts.some((c) => c.id === id)) proofs.delete(id)
  keepPendingChange(state, nowMs)
}

function takeSnooze({ shop }: KernelState, input: InputOf<'alarmSnoozed'>): void {
  const asking = [...shop.telling.askings.values()].find((a) => a.alarmIds.includes(input.alarmId))
  if (asking) snooze(asking, input.contactId, Math.min(input.untilMs, input.atMs + LONGEST_SNOOZE_MS))
}

function takeProof({ shop, settings }: KernelState, { contactId, atMs }: InputOf<'replyPathProven'>): void {
  const contact = settings.contacts.find((c) => c.id === contactId)
  if (contact) shop.telling.proofs.set(contactId, { provenMs: atMs, ways: waysOf(contact) })
}

/** The hours may be others now; an opening or closing that has just passed and still holds is not lost. */
function keepPendingChange({ shop: { telling }, plan }: KernelState, nowMs: number): void {
  const { changeMs } = telling
  const pending = changeMs !== null && changeMs <= nowMs
  if (!pending || plan.calendar.nextChangeAfter(changeMs - 1) !== changeMs) telling.changeMs = null
}

function queueTest(
  { settings }: KernelState,
  { contactId, seq }: InputOf<'noticeTestAsked'>,
  run: { nowMs: number; emit: Emit },
): void {
  if (!settings.contacts.some((c) => c.id === contactId)) return
  queue(run, {
    key: `test|${seq}|${contactId}`,
    contactId,
    kind: 'test',
    alarmId: null,
    urgency: 'high',
    ...testWords(settings),
    topic: 'test',
    asksForReply: true,
    page: '/phone',
    expiresMs: run.nowMs + TEST_MS,
  })
}

/** Nobody is there to be told: nothing is kept for them either. */
function forget({ shop: { telling } }: KernelState): void {
  for (const map of [telling.askings, telling.calling, telling.night]) map.clear()
  Object.assign(telling, {
    closedMs: null,
    openedMs: null,
    changeMs: null,
    closingReminderMs: null,
    dueMs: null,
  })
}

/** Contacts whose reply path is proven, and since when. */
export function replyPathsOf(
  { settings, shop }: KernelState,
  nowMs: number,
): readonly { readonly contactId: string; readonly provenMs: number }[] {
  return settings.contacts.flatMap((contact) => {
    const provenMs = provenMsOf(contact, shop.telling.proofs.get(contact.id), nowMs)
    return provenMs === null ? [] : [{ contactId: contact.id, provenMs }]
  })
}

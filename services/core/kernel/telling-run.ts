import type { AskingWorld } from '../alarms/telling/ask.ts'
import type { NoticeWords } from '../alarms/telling/notice-words.ts'
import type { Asking } from '../alarms/telling/telling-state.ts'
import { isAvailable, provenMsOf } from '../alarms/telling/who-is-asked.ts'
import type { Alarm } from '../model/alarm.ts'
import type { Notice } from '../model/notice.ts'
import { openEpisodesOf, type Emit } from './shop-alarms.ts'
import type { KernelState } from './state.ts'

const HOUR_MS = 3_600_000
/** A word about an alarm is worth sending by itself this long; after that the morning report tells it. */
export const ALARM_NOTICE_MS = 12 * HOUR_MS

/** Who is told, in one step of the kernel. */
export interface TellingRun {
  readonly state: KernelState
  readonly nowMs: number
  readonly emit: Emit
  readonly world: AskingWorld
}

export function telling({ state }: TellingRun): KernelState['shop']['telling'] {
  return state.shop.telling
}

export function askingWorld(state: KernelState, nowMs: number): AskingWorld {
  const { settings, plan, shop } = state
  const contactOf = new Map(settings.contacts.map((c) => [c.id, c]))
  return {
    nowMs,
    shopOpen: plan.calendar.isOpenAt(nowMs),
    changeMs: plan.calendar.nextChangeAfter(nowMs),
    contacts: settings.contacts,
    telling: settings.telling,
    provenMs: (contactId) => {
      const contact = contactOf.get(contactId)
      return contact ? provenMsOf(contact, shop.telling.proofs.get(contactId), nowMs) : null
    },
  }
}

/** An alarm whose condition is over, whether or not anybody has said that they saw it; or one long forgotten. */
export function isOver(alarm: Alarm | undefined): boolean {
  return !alarm || alarm.state === 'normal' || alarm.state === 'returnedUnacknowledged'
}

export function isCalling(alarm: Alarm): boolean {
  return alarm.state === 'unacknowledged' && alarm.urgency === 'now'
}

/** When the first of what is open of it began. */
export function fromMsOf({ state }: TellingRun, alarm: Alarm): number {
  return Math.min(alarm.openedMs, ...openEpisodesOf(state, alarm).map((e) => e.fromMs))
}

export function alarmsOf({ state }: TellingRun, { alarmIds }: Asking): readonly Alarm[] {
  return alarmIds.flatMap((id) => state.shop.alarms.get(id) ?? [])
}

export interface AboutAsking {
  readonly contactId: string
  readonly kind: Notice['kind']
  readonly alarmId: string | null
  readonly urgency: Notice['urgency']
  readonly words: NoticeWords
  readonly asksForReply: boolean
}

/** Queues a notice about an asking; each gets a key of its own. */
export function queueAbout(run: TellingRun, asking: Asking, about: AboutAsking): void {
  const { words, ...rest } = about
  let told = asking.told.find((t) => t.contactId === about.contactId)
  if (!told) asking.told.push((told = { contactId: about.contactId, notices: 0 }))
  told.notices++
  queue(run, {
    key: `${asking.id}|${about.contactId}|${told.notices}`,
    ...rest,
    ...words,
    topic: asking.topic,
    page: '/alarms',
    expiresMs: run.nowMs + ALARM_NOTICE_MS,
  })
}

/** A word to everybody who was told of it, quietly. */
export function tellThose(
  run: TellingRun,
  asking: Asking,
  { alarmId, words }: Pick<AboutAsking, 'alarmId' | 'words'>,
): void {
  const { contacts, shopOpen } = run.world
  for (const { contactId } of asking.told) {
    const contact = contacts.find((c) => c.id === contactId)
    if (!contact) continue
    const urgency = isAvailable(contact, shopOpen) ? 'normal' : 'low'
    queueAbout(run, asking, { contactId, kind: 'over', alarmId, urgency, words, asksForReply: false })
  }
}

export function queue({ nowMs, emit }: Pick<TellingRun, 'nowMs' | 'emit'>, notice: Notice): void {
  emit({ type: 'noticeQueued', notice: { ...notice, title: shortened(notice.title) }, atMs: nowMs })
}

const LONGEST_TITLE = 120

/** Titles are names that an owner chose; a locked screen shows some dozens of characters. */
function shortened(title: string): string {
  return title.length <= LONGEST_TITLE ? title : `${title.slice(0, LONGEST_TITLE - 1)}…`
}

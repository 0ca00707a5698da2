import type { Condition, Episode } from '../model/episode.ts'
import { subjectKey, type Subject } from '../model/subject.ts'
import type { KernelState } from './state.ts'

export interface ReceiptSink {
  readonly episodeOpened: (episode: Episode) => void
  readonly episodeClosed: (episode: Episode) => void
}

/** An episode on receipt time: it is judged under its own subject. */
export function receiptEpisode(
  condition: Condition,
  subject: Subject,
  { fromMs, openedMs }: { fromMs: number; openedMs: number },
  { plan }: KernelState,
): Episode {
  const key = subjectKey(subject)
  return {
    id: `${condition}|${key}|${fromMs}`,
    condition,
    subject,
    judgedUnder: key,
    fromMs,
    openedMs,
    toMs: null,
    closedMs: null,
    value: null,
    worst: null,
    shopClosed: !plan.calendar.isOpenAt(openedMs),
  }
}

import type { Notice } from '../../services/core/model/notice.ts'
import type { BookOfRecord, PendingNotice } from '../../services/core/model/ports/records.ts'
import type { UndoJournal } from './undo-journal.ts'

export interface MemoryNotices extends Pick<BookOfRecord, 'pendingNotices' | 'settleNotice'> {
  readonly queue: (notice: Notice, atMs: number) => void
}

/** Notices in a plain Map, by the rules of the real table. */
export function createMemoryNotices(journal: UndoJournal): MemoryNotices {
  const notices = new Map<string, PendingNotice>()
  /** Settled, or replaced by a newer one. */
  const gone = new Map<string, true>()
  return {
    queue: (notice, atMs) => {
      if (notices.has(notice.key)) return
      for (const { notice: n } of notices.values()) {
        if (n.contactId === notice.contactId && n.topic === notice.topic) journal.put(gone, n.key, true)
      }
      journal.put(notices, notice.key, { notice: structuredClone(notice), queuedMs: atMs })
    },
    pendingNotices: (limit) => [...notices.values()].filter((n) => !gone.has(n.notice.key)).slice(0, limit),
    settleNotice: ({ key }) => journal.put(gone, key, true),
  }
}

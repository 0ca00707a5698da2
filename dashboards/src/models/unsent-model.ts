import { computed, signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import {
  asksAgain,
  fateOf,
  isSaidAlready,
  nextToSend,
  type Said,
  type Unsent,
  type UnsentStore,
} from '../phone/unsent.ts'

export interface UnsentModel {
  /** What this person said here and the monitor has not taken, in the order it was said. */
  readonly entries: ReadonlySignal<readonly Unsent[]>
  /** How many of them only wait for the line. */
  readonly waiting: ReadonlySignal<number>
  /** Is something said to this address and still waiting? */
  readonly waitsFor: (path: string) => boolean
  readonly asksAgain: (entry: Unsent) => boolean
  /** Reads what this person left here. */
  readonly begin: (personId: string) => Promise<void>
  /** Sends what waits, in order, until it meets no line. */
  readonly send: () => Promise<void>
  /** It still holds, though it was said long ago: it is sent as said now. */
  readonly sayAgain: (key: string) => Promise<void>
  /** Drops one: it was read, or is no longer so. */
  readonly drop: (key: string) => Promise<void>
  /** Drops all of this person: they sign out. */
  readonly dropAll: () => Promise<void>
  readonly keep: (said: Said) => Promise<boolean>
  /** Shows nothing any more; what is kept stays kept for this person. */
  readonly forget: () => void
}

export interface UnsentParts {
  readonly store: UnsentStore
  readonly post: (said: Said) => Promise<Answer<unknown>>
  readonly label: (said: Said) => string
  readonly nowMs: () => number
  /** Something came through: what the pages show has changed. */
  readonly onSent: () => void
}

export function createUnsentModel(parts: UnsentParts): UnsentModel {
  const { store, nowMs } = parts
  const entries = signal<readonly Unsent[]>([])
  let personId: string | null = null
  let sending: Promise<void> | null = null

  /** A browser may keep nothing at all: what is shown then is what this page remembers. */
  const read = async (): Promise<void> => {
    const all = await store.all().catch(() => null)
    if (all) entries.value = all.filter((e) => e.personId === personId)
  }
  const remove = async (key: string): Promise<void> => {
    entries.value = entries.value.filter((e) => e.key !== key)
    await store.remove(key).catch(() => undefined)
  }
  const replace = async (entry: Unsent): Promise<void> => {
    entries.value = entries.value.map((e) => (e.key === entry.key ? entry : e))
    await store.put(entry).catch(() => undefined)
  }
  const sendAll = async (): Promise<void> => {
    await read()
    for (let next = nextToSend(entries.value, nowMs()); next; next = nextToSend(entries.value, nowMs())) {
      const answer = await parts.post(next)
      const fate = fateOf(answer.ok ? 200 : answer.failure.status)
      if (fate === 'later') return
      if (fate === 'sent') await remove(next.key)
      else if (!answer.ok) await replace({ ...next, refusal: failureSentence(answer.failure) })
      parts.onSent()
    }
  }
  const send = (): Promise<void> => {
    sending ??= sendAll().finally(() => (sending = null))
    return sending
  }
  return {
    entries,
    waiting: computed(() => entries.value.filter((e) => e.refusal === null).length),
    waitsFor: (path) => entries.value.some((e) => e.refusal === null && e.path === path),
    asksAgain: (entry) => entry.refusal === null && asksAgain(entry, nowMs()),
    begin: async (id) => {
      personId = id
      await read()
    },
    send,
    sayAgain: async (key) => {
      const entry = entries.value.find((e) => e.key === key)
      if (!entry) return
      await replace({ ...entry, saidMs: nowMs() })
      await send()
    },
    drop: remove,
    dropAll: async () => {
      for (const { key } of entries.value) await remove(key)
    },
    keep: async (said) => {
      if (personId === null) return false
      if (isSaidAlready(entries.value, said)) return true
      const entry: Unsent = { ...said, personId, saidMs: nowMs(), label: parts.label(said), refusal: null }
      const isKept = await store.put(entry).then(
        () => true,
        () => false,
      )
      if (isKept) entries.value = [...entries.value, entry]
      return isKept
    },
    forget: () => {
      personId = null
      entries.value = []
    },
  }
}

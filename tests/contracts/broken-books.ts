import type { Effect } from '../../services/core/model/effect.ts'
import type { BookOfRecord, SubjectHistory } from '../../services/core/model/ports/records.ts'
import type { RecordedFacts } from '../parts/memory-book-of-record.ts'
import type { Broken } from './contract.ts'
import type { Records } from './records.ts'

function book(
  rule: string,
  fault: string,
  change: (sound: BookOfRecord) => Partial<BookOfRecord>,
): Broken<Records> {
  return { rule, fault, breakIt: (r) => ({ ...r, book: { ...r.book, ...change(r.book) } }) }
}

function past(
  rule: string,
  fault: string,
  change: (sound: SubjectHistory) => Partial<SubjectHistory>,
): Broken<Records> {
  return book(rule, fault, (b) => ({ history: { ...b.history, ...change(b.history) } }))
}

function shown(
  rule: string,
  fault: string,
  change: (sound: RecordedFacts) => Partial<RecordedFacts>,
): Broken<Records> {
  return { rule, fault, breakIt: (r) => ({ ...r, facts: { ...r.facts, ...change(r.facts) } }) }
}

/** A book that loses, or changes, one kind of effect. */
function effects(fault: string, change: (effect: Effect) => readonly Effect[]): Broken<Records> {
  return book('BR-6', fault, (b) => ({
    applyEffects: (seq, list) => b.applyEffects(seq, list.flatMap(change)),
  }))
}

const ofInputs: readonly Broken<Records>[] = [
  book('BR-1', 'keeps what a failed transaction wrote', () => ({ transaction: (work) => work() })),
  book('BR-1', 'swallows what its work gives', (b) => ({
    transaction: (work) => (b.transaction(work), undefined as never),
  })),
  book('BR-2', 'counts from one too many', (b) => ({ lastSeq: () => b.lastSeq() + 1 })),
  book('BR-3', 'takes every reading for fresh', () => ({
    sortReadings: (fresh) => ({ fresh, resent: 0, conflicts: [] }),
  })),
  book('BR-3', 'takes a conflict for a resend', (b) => ({
    sortReadings: (readings) => {
      const { fresh, resent, conflicts } = b.sortReadings(readings)
      return { fresh, resent: resent + conflicts.length, conflicts: [] }
    },
  })),
  book('BR-3', 'turns the order of fresh readings round', (b) => ({
    sortReadings: (readings) => {
      const sorted = b.sortReadings(readings)
      return { ...sorted, fresh: [...sorted.fresh].reverse() }
    },
  })),
  book('BR-4', 'takes any seq', (b) => ({
    appendInput: (input) => b.appendInput({ ...input, seq: b.lastSeq() + 1 }),
  })),
  book('BR-4', 'takes a reading again', (b) => ({
    appendInput: (input) =>
      b.appendInput(
        input.type === 'readings' ? { ...input, readings: [...b.sortReadings(input.readings).fresh] } : input,
      ),
  })),
  book('BR-8', 'gives the input asked after as well', (b) => ({
    inputsAfter: (seq) => b.inputsAfter(seq - 1),
  })),
  book('BR-8', 'loses the readings', (b) => ({
    inputsAfter: (seq) =>
      [...b.inputsAfter(seq)].map((i) => (i.type === 'readings' ? { ...i, readings: [] } : i)),
  })),
  book('BR-8', 'stops after a thousand inputs', (b) => ({
    inputsAfter: (seq) => [...b.inputsAfter(seq)].slice(0, 1000),
  })),
  book('BR-8', 'gives readings in another order', (b) => ({
    inputsAfter: (seq) =>
      [...b.inputsAfter(seq)].map((i) =>
        i.type === 'readings' ? { ...i, readings: [...i.readings].reverse() } : i,
      ),
  })),
]

const ofEffects: readonly Broken<Records>[] = [
  effects('loses disposals', (e) => (e.type === 'disposalLogged' ? [] : [e])),
  effects('loses the logbook', (e) => (e.type === 'logEntryNoted' ? [] : [e])),
  effects('never closes an episode', (e) => (e.type === 'episodeClosed' ? [] : [e])),
  effects('leaves the episode that was corrected', (e) =>
    e.type === 'episodeCorrected' ? [{ type: 'episodeOpened', episode: e.episode }] : [e],
  ),
  effects('does not withdraw', (e) => (e.type === 'episodeWithdrawn' ? [] : [e])),
  effects('tells a task twice', (e) => (e.type === 'taskChanged' ? [e, e] : [e])),
  effects('counts a late pack, not its readings', (e) =>
    e.type === 'readingsNotJudged' ? [{ ...e, count: 1 }] : [e],
  ),
  effects('keeps snapshots that no longer hold', (e) => (e.type === 'subjectSnapshotsDropped' ? [] : [e])),
  shown('BR-6', 'makes a change of mere words', (f) => ({
    alarmChanges: (query) => f.alarmChanges(query).flatMap((c) => [c, c]),
  })),
  effects('keeps no record of alarms that return', (e) =>
    e.type === 'alarmChanged' && e.alarm.state === 'returnedUnacknowledged' ? [] : [e],
  ),
  shown('BR-6', 'makes no event of settings', (f) => ({
    eventsAfter: (query) => f.eventsAfter(query).filter((e) => e.kind !== 'settings'),
  })),
  book('BR-14', 'takes every message for a new one', (b) => {
    let n = 0
    return {
      applyEffects: (seq, list) =>
        b.applyEffects(
          seq,
          list.map((e) =>
            e.type === 'messageQueued'
              ? { ...e, message: { ...e.message, idempotencyKey: `${e.message.idempotencyKey}${n++}` } }
              : e,
          ),
        ),
    }
  }),
  book('BR-14', 'never replaces', (b) => {
    let n = 0
    return {
      applyEffects: (seq, list) =>
        b.applyEffects(
          seq,
          list.map((e) =>
            e.type === 'messageQueued' ? { ...e, message: { ...e.message, replaceKey: `${n++}` } } : e,
          ),
        ),
    }
  }),
  book('BR-14', 'sends the newest first', (b) => ({
    pendingMessages: (limit) => [...b.pendingMessages(limit)].reverse(),
  })),
  book('BR-15', 'takes an attempt for a delivery', (b) => ({
    markMessage: (o) => b.markMessage({ ...o, delivered: true }),
  })),
  book('BR-15', 'marks nothing', () => ({ markMessage: () => undefined })),
]

const ofNotices: readonly Broken<Records>[] = [
  book('BR-16', 'tells the newest first', (b) => ({
    pendingNotices: (limit) => [...b.pendingNotices(limit)].reverse(),
  })),
  book('BR-16', 'never replaces', (b) => {
    let n = 0
    return {
      applyEffects: (seq, list) =>
        b.applyEffects(
          seq,
          list.map((e) =>
            e.type === 'noticeQueued' ? { ...e, notice: { ...e.notice, topic: `${n++}` } } : e,
          ),
        ),
    }
  }),
  book('BR-16', 'takes every notice for a new one', (b) => {
    let n = 0
    return {
      applyEffects: (seq, list) =>
        b.applyEffects(
          seq,
          list.map((e) =>
            e.type === 'noticeQueued' ? { ...e, notice: { ...e.notice, key: `${e.notice.key}${n++}` } } : e,
          ),
        ),
    }
  }),
  book('BR-17', 'settles nothing', () => ({ settleNotice: () => undefined })),
  book('BR-17', 'settles all that wait', (b) => ({
    settleNotice: (o) =>
      b.pendingNotices(99).forEach(({ notice }) => b.settleNotice({ ...o, key: notice.key })),
  })),
]

const ofKeeping: readonly Broken<Records>[] = [
  book('BR-5', 'keeps one conflict at most', (b) => ({
    keepConflicts: (c, ms) => b.keepConflicts(c.slice(0, 1), ms),
  })),
  shown('BR-5', 'counts a conflict each time', (f) => ({
    counts: () => ({ ...f.counts(), conflicts: f.counts().conflicts * 2 }),
  })),
  book('BR-7', 'keeps the first state for ever', (b) => ({
    saveKernelSnapshot: (s) => (b.latestKernelSnapshot() ? undefined : b.saveKernelSnapshot(s)),
  })),
  book('BR-9', 'forgets what it does not keep', (b) => {
    let n = 0
    return { keepRejection: (r, ms) => (n++ < 100 ? b.keepRejection(r, ms) : undefined) }
  }),
  book('BR-9', 'has no limit a topic', (b) => {
    let n = 0
    return {
      keepRejection: (r, ms) => b.keepRejection({ ...r, topic: n++ < 100 ? r.topic : `${r.topic}${n}` }, ms),
    }
  }),
  shown('BR-9', 'has no limit in all', (f) => ({
    quarantine: (limit) => {
      const kept = f.quarantine(limit)
      return kept.length < 10_000 ? kept : [...kept, ...kept.slice(0, 1)]
    },
  })),
  book('BR-10', 'counts a note and not its readings', (b) => ({
    noteHeard: (h) => b.noteHeard(h.map((n) => ({ ...n, readings: 1 }))),
  })),
  book('BR-10', 'lets a late note pass for the newest', (b) => {
    let atMs = 0
    return {
      noteHeard: (h) => b.noteHeard(h.map((n) => ({ ...n, atMs: (atMs = Math.max(atMs + 1, n.atMs)) }))),
    }
  }),
  book('BR-11', 'prunes one too many snapshots', (b) => ({
    pruneSubjectSnapshots: (ms) => b.pruneSubjectSnapshots(ms + 1),
  })),
  book('BR-11', 'prunes no snapshots', () => ({ pruneSubjectSnapshots: () => undefined })),
  book('BR-12', 'prunes the reading at the limit', (b) => ({
    pruneReadings: (ms) => b.pruneReadings(ms + 1),
  })),
  book('BR-12', 'prunes without a count', (b) => ({ pruneReadings: (ms) => (b.pruneReadings(ms), 0) })),
  book('BR-13', 'was never alive', () => ({ lastAliveMs: () => null })),
  book('BR-18', 'forgets what was handed on', () => ({ noteForwarded: () => undefined })),
  book('BR-18', 'lets the mark go back', (b) => {
    let last = 0
    return {
      noteForwarded: (seq) => void (last = seq),
      forwardedSeq: () => last,
      pruneReadings: b.pruneReadings,
    }
  }),
]

const ofHistory: readonly Broken<Records>[] = [
  past('SH-1', 'gives the snapshot of the very time', (h) => ({
    snapshotBefore: ({ subjectKey, beforeMs }) => h.snapshotBefore({ subjectKey, beforeMs: beforeMs + 1 }),
  })),
  past('SH-2', 'leaves out the orders in force', (h) => ({
    ordersFrom: (ms) => h.ordersFrom(ms).filter((o) => o.atMs > ms),
  })),
  past('SH-2', 'gives the newest orders first', (h) => ({
    ordersFrom: (ms) => [...h.ordersFrom(ms)].reverse(),
  })),
  past('SH-2', 'knows settings alone', (h) => ({
    ordersFrom: (ms) => h.ordersFrom(ms).filter((o) => o.type === 'settings'),
  })),
  past('SH-2', 'gives all that was ever learned', (h) => ({
    ordersFrom: (ms) => h.ordersFrom(-Infinity).filter((o) => o.type === 'learned' || o.atMs > ms),
  })),
  past('SH-3', 'gives the reading of the very time', (h) => ({
    readingsAfter: ({ sensorIds, afterMs }) => h.readingsAfter({ sensorIds, afterMs: afterMs - 1 }),
  })),
  past('SH-3', 'gives readings sensor by sensor', (h) => ({
    readingsAfter: ({ sensorIds, afterMs }) =>
      sensorIds.flatMap((id) => h.readingsAfter({ sensorIds: [id], afterMs })),
  })),
  past('SH-4', 'forgets episodes that are open', (h) => ({
    episodesTouchedAfter: (query) => h.episodesTouchedAfter(query).filter((e) => e.closedMs !== null),
  })),
  past('SH-4', 'gives episodes closed before', (h) => ({
    episodesTouchedAfter: ({ subjectKey }) => h.episodesTouchedAfter({ subjectKey, afterMs: -Infinity }),
  })),
]

/** Books of record with one fault each: the proof that the contract bites. */
export const brokenBooks: readonly Broken<Records>[] = [
  ...ofInputs,
  ...ofEffects,
  ...ofNotices,
  ...ofKeeping,
  ...ofHistory,
]

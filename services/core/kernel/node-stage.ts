import { clockAheadDeadlineMs, fireClockAhead, noteRefused } from '../detect/clock-ahead.ts'
import type { Finding } from '../detect/detector.ts'
import { fireReadingsMissing, noteMissing, readingsMissingDeadlineMs } from '../detect/readings-missing.ts'
import type { Episode } from '../model/episode.ts'
import type { InputOf, PackMark } from '../model/input.ts'
import { missingPacks, notePack } from './node-packs.ts'
import { receiptEpisode, type ReceiptSink } from './receipt-episode.ts'
import type { KernelState, NodeState } from './state.ts'

/** What is judged of a node itself, on receipt time: its clock, and packs that never came. */
type NodeCondition = 'clockAhead' | 'readingsMissing'

interface NodeAt {
  readonly state: KernelState
  readonly nodeId: string
  readonly node: NodeState
  readonly sink: ReceiptSink
}

/** Readings were refused because they were stamped ahead of the monitor's clock. */
export function noteReadingsAhead(at: NodeAt, { receivedMs, aheadMs }: InputOf<'readingsAhead'>): void {
  const rule = at.state.settings.limits.trust.clockAhead
  const finding = noteRefused(at.node.clockAhead, { receivedMs, aheadMs }, rule)
  if (finding) record(at, 'clockAhead', finding)
}

/** A pack came. What an earlier boot of the node still owed is lost, and no longer missing. */
export function countPack(at: NodeAt, pack: PackMark, receivedMs: number): void {
  const { node } = at
  if (node.bootId !== null && node.bootId !== pack.bootId) {
    const over = noteMissing(node.readingsMissing, 0, receivedMs)
    if (over) record(at, 'readingsMissing', over)
  }
  notePack(node, pack)
  const finding = noteMissing(node.readingsMissing, missingPacks(node), receivedMs)
  if (finding) record(at, 'readingsMissing', finding)
}

export function nodeDeadlineMs({ settings }: KernelState, node: NodeState): number {
  const { trust } = settings.limits
  return Math.min(
    clockAheadDeadlineMs(node.clockAhead, trust.clockAhead),
    readingsMissingDeadlineMs(node.readingsMissing, trust.readingsMissing),
  )
}

export function fireNode(at: NodeAt, clockMs: number): void {
  const { trust } = at.state.settings.limits
  const clockDueMs = clockAheadDeadlineMs(at.node.clockAhead, trust.clockAhead)
  if (clockDueMs <= clockMs) record(at, 'clockAhead', fireClockAhead(at.node.clockAhead, clockDueMs))
  const missingDueMs = readingsMissingDeadlineMs(at.node.readingsMissing, trust.readingsMissing)
  if (missingDueMs > clockMs) return
  const finding = fireReadingsMissing(at.node.readingsMissing, missingDueMs)
  if (finding) record(at, 'readingsMissing', finding)
}

function record({ state, nodeId, node, sink }: NodeAt, condition: NodeCondition, finding: Finding): void {
  if (finding.type === 'opened') {
    const { fromMs, openedMs, value, worst } = finding
    const base = receiptEpisode(condition, { kind: 'node', id: nodeId }, { fromMs, openedMs }, state)
    const episode: Episode = { ...base, value, worst }
    node.open[condition] = episode
    sink.episodeOpened(episode)
    return
  }
  const episode = node.open[condition]
  if (!episode) return
  node.open[condition] = null
  const { toMs, closedMs, worst } = finding
  sink.episodeClosed({ ...episode, toMs, closedMs, worst })
}

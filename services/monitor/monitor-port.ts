import { boardView } from '../core/advise/board.ts'
import { closingView } from '../core/advise/closing.ts'
import { closingMaterial } from '../core/kernel/shop-closing.ts'
import { replyPathsOf } from '../core/kernel/shop-telling.ts'
import { proofOf } from '../core/advise/tasks/proof.ts'
import { factsOf } from '../core/kernel/known-facts.ts'
import type { AccountStore } from '../core/model/ports/accounts.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { Monitor, WayIn } from '../core/model/ports/monitor.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { BoardView } from '../core/model/views.ts'
import { boardMaterial, quietsOf } from './board-material.ts'
import type { MonitorConfig } from './config.ts'
import type { Engine } from './engine.ts'
import type { Forwarder } from './forward-readings.ts'
import type { OwnHealth } from './own-health.ts'
import { lastEmptyings } from '../core/advise/last-emptyings.ts'
import { sensorsView } from './sensors-view.ts'

export interface MonitorPortParts {
  readonly engine: Engine
  readonly reader: RecordsReader
  readonly accounts: AccountStore
  readonly clock: Clock
  readonly config: Pick<MonitorConfig, 'plaintextBeyondLoopback'>
  readonly disconnectNode: (nodeId: string) => void
  readonly wayIn: WayIn
  /** Null where there is no second store. */
  readonly forwarder: Pick<Forwarder, 'problem' | 'waiting'> | null
  /** What is wrong with the ways in and out, for /healthz. */
  readonly problems: () => readonly string[]
  /** How the monitor itself is. */
  readonly own: () => OwnHealth
}

/** A board is made at most this often for each state of the log; many screens then share one. */
const BOARD_FRESH_MS = 1_000

/** The running monitor as the web sees it. */
export function createMonitorPort({
  engine,
  reader,
  accounts,
  clock,
  config,
  disconnectNode,
  wayIn,
  forwarder,
  problems,
  own,
}: MonitorPortParts): Monitor {
  let kept: { atMs: number; eventId: number; view: BoardView } | null = null
  const board = (): BoardView => {
    const atMs = performance.now()
    const eventId = reader.lastEventId()
    if (kept && kept.eventId === eventId && atMs - kept.atMs < BOARD_FRESH_MS) return kept.view
    const { plaintextBeyondLoopback } = config
    const view = boardView(
      boardMaterial({
        reader,
        state: engine.state(),
        nowMs: clock.nowMs(),
        plaintextBeyondLoopback,
        readingsWaiting: forwarder?.problem() ? forwarder.waiting() : null,
        ownTroubles: own().forTheBoard,
      }),
    )
    kept = { atMs, eventId, view }
    return view
  }
  return {
    nowMs: clock.nowMs,
    settings: () => engine.state().settings,
    learned: () => {
      const { learned, waiting } = engine.state()
      return { inForce: [...learned.values()], waiting: [...waiting.values()] }
    },
    quiets: () => quietsOf(engine.state()),
    replyPaths: () => replyPathsOf(engine.state(), clock.nowMs()),
    submit: engine.submit,
    board,
    proofNow: (task) => proofOf(task, factsOf(engine.state()), clock.nowMs()),
    lastEmptyings: () => lastEmptyings(factsOf(engine.state())),
    closing: () => closingView(closingMaterial(engine.state(), clock.nowMs())),
    sensors: () => sensorsView({ reader, accounts, state: engine.state() }),
    wayIn: () => wayIn,
    subscribe: (listener) =>
      engine.subscribe(({ latest }) => listener({ lastEventId: reader.lastEventId(), latest })),
    nodeSecretChanged: disconnectNode,
    readingsWaiting: () => forwarder?.waiting() ?? 0,
    health: () => {
      const { ok, problems: found } = own()
      return { ok, problems: [...new Set([...found, ...problems()])] }
    },
  }
}

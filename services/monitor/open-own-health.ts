import type { Clock } from '../core/model/ports/clock.ts'
import type { HttpPost } from '../core/model/ports/notify.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import type { MonitorConfig } from './config.ts'
import type { Engine } from './engine.ts'
import type { Forwarder } from './forward-readings.ts'
import { heartbeatAddress } from './heartbeat-address.ts'
import { createHeartbeat, type Heartbeat } from './heartbeat.ts'
import type { Log } from './log.ts'
import type { OpenBroker } from './open-broker.ts'
import { freeBytesOf, isTrulyWell, judgeOwnHealth, type OwnFacts, type OwnHealth } from './own-health.ts'

export interface OpenOwnHealthParts {
  readonly config: Pick<MonitorConfig, 'dataDir' | 'heartbeat'>
  readonly engine: Engine
  readonly broker: Pick<OpenBroker, 'troubles'>
  readonly book: Pick<BookOfRecord, 'lastAliveMs'>
  readonly clock: Clock
  readonly forwarder: Pick<Forwarder, 'problem' | 'waiting'> | null
  readonly post: HttpPost
  readonly log: Log
}

/** Wires how the monitor itself is, and who outside is told that it lives. */
export function openOwnHealth({
  config,
  engine,
  broker,
  book,
  clock,
  forwarder,
  post,
  log,
}: OpenOwnHealthParts): { own: () => OwnHealth; heartbeat: Heartbeat | null } {
  const vital = (): Pick<OwnFacts, 'commitProblem' | 'freeBytes' | 'clockDoubt'> => ({
    commitProblem: engine.problem(),
    freeBytes: freeBytesOf(config.dataDir),
    clockDoubt: clock.doubt?.() ?? null,
  })
  const heartbeat =
    config.heartbeat &&
    createHeartbeat({
      config: { ...config.heartbeat, url: heartbeatAddress(config.heartbeat) },
      post,
      isWell: () => isTrulyWell(vital()),
      lastAliveMs: book.lastAliveMs,
      nowMs: clock.nowMs,
      log,
    })
  const own = (): OwnHealth =>
    judgeOwnHealth({
      ...vital(),
      brokerTroubles: broker.troubles(),
      heartbeatProblem: heartbeat?.problem() ?? null,
      forwarderProblem: forwarder?.problem() ?? null,
      readingsWaiting: forwarder?.waiting() ?? 0,
      messagesWaiting: engine.waiting(),
    })
  return { own, heartbeat }
}

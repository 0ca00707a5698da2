import type { MqttDoor } from '../adapters/mqtt/mqtt-door.ts'
import { machineState } from '../core/advise/machine-state.ts'
import { machineStateTopic } from '../core/model/topics.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { NoticeStore } from '../core/model/ports/notice-store.ts'
import type { Pruner } from '../core/model/ports/pruning.ts'
import type { BookOfRecord, RecordsReader } from '../core/model/ports/records.ts'
import type { CausesDesk } from './causes-desk.ts'
import { deliverMessages } from './deliver-messages.ts'
import type { Deliveries } from './deliver-notices.ts'
import type { Engine } from './engine.ts'
import type { Heartbeat } from './heartbeat.ts'
import { createAwaited, forwardAll, type Forwarder } from './forward-readings.ts'
import { learnDaily } from './learn-daily.ts'
import type { Log } from './log.ts'
import { pruneOld } from './prune-old.ts'

const TICK_MS = 250
const DELIVER_MS = 500
const PRUNE_MS = 3_600_000
const REPUBLISH_MS = 300_000
const LEARN_MS = 600_000
const FORWARD_MS = 1_000
const HEARTBEAT_MS = 1_000
const STOP_WITHIN_MS = 5_000

export interface RoundsParts {
  readonly engine: Engine
  readonly book: BookOfRecord
  readonly reader: RecordsReader
  readonly clock: Clock
  readonly door: MqttDoor
  /** Null where there is no second store. */
  readonly forwarder: Forwarder | null
  readonly deliveries: Deliveries
  readonly notices: Pick<NoticeStore, 'pruneBefore'>
  readonly pruner: Pruner
  readonly causes: CausesDesk
  /** Null where nobody outside is told that the monitor lives. */
  readonly heartbeat: Heartbeat | null
  readonly log: Log
}

/** What must happen again and again: deadlines, messages that wait, what has grown too old, new settings for the broker. */
export function startRounds(parts: RoundsParts): { stop: () => Promise<void> } {
  const {
    engine,
    book,
    reader,
    clock,
    door,
    forwarder,
    deliveries,
    notices,
    pruner,
    causes,
    heartbeat,
    log,
  } = parts
  let settingsSeq = engine.state().settingsSeq
  const followSettings = (): void => {
    const state = engine.state()
    if (state.settingsSeq === settingsSeq) return
    settingsSeq = state.settingsSeq
    door.updateSettings(state.settings)
  }
  let stopping = false
  const awaited = forwarder ? createAwaited(book) : () => false
  const prune = (): Promise<void> =>
    pruneOld({ book, pruner, notices, reader, clock, log, stopped: () => stopping, awaited })
  const channels = {
    publishState: door.publishState,
    site: () => engine.state().settings.site.id,
    nowMs: clock.nowMs,
  }
  // A broker may have forgotten what it retained while one of the two was away.
  const publishStates = async (): Promise<void> => {
    const { settings, shop } = engine.state()
    for (const machine of settings.machines) {
      const body = { ...machineState(machine, shop.alarms.values(), settings), atMs: clock.nowMs() }
      await door.publishState(machineStateTopic(settings.site.id, machine.id), JSON.stringify(body))
    }
  }
  const rounds = [
    repeat(TICK_MS, () => engine.tick(), log),
    repeat(DELIVER_MS, () => deliverMessages(book, channels), log),
    repeat(DELIVER_MS, async () => deliveries.round(), log),
    repeat(PRUNE_MS, prune, log),
    repeat(LEARN_MS, () => learnDaily({ engine, reader, clock, log }), log),
    repeat(LEARN_MS, causes.round, log),
    repeat(REPUBLISH_MS, publishStates, log),
    ...(forwarder ? [repeat(FORWARD_MS, () => forwardAll(forwarder), log)] : []),
    ...(heartbeat ? [repeat(HEARTBEAT_MS, heartbeat.beat, log)] : []),
  ]
  // New settings hold at the broker before whoever sent them hears so: a node may publish right after that. And a new
  // notice leaves at once, not at the next round.
  const unsubscribe = engine.subscribe(() => {
    followSettings()
    deliveries.round()
  })
  return {
    stop: async () => {
      unsubscribe()
      stopping = true
      // What is on its way to somebody slow is sent again after the next start, under the same key.
      const patience = new Promise((resolve) => setTimeout(resolve, STOP_WITHIN_MS).unref())
      const stopped = [deliveries.stop(), causes.stop(), ...rounds.map((r) => r.stop())]
      await Promise.race([Promise.all(stopped), patience])
    },
  }
}

/** Runs `work` again and again with a pause between; a failure is logged and the next round tries again. */
function repeat(everyMs: number, work: () => Promise<unknown>, log: Log): { stop: () => Promise<void> } {
  let stopped = false
  let timer: NodeJS.Timeout | undefined
  let running: Promise<void> = Promise.resolve()
  const round = async (): Promise<void> => {
    try {
      await work()
    } catch (error) {
      log.error(
        { reason: error instanceof Error ? error.message : String(error) },
        'a round failed; the next one tries again',
      )
    }
    if (stopped) return
    timer = setTimeout(() => {
      running = round()
    }, everyMs)
  }
  running = round()
  return {
    stop: async () => {
      stopped = true
      clearTimeout(timer)
      await running
    },
  }
}

import { closingView } from '../../services/core/advise/closing.ts'
import { closingMaterial } from '../../services/core/kernel/shop-closing.ts'
import { initialKernel } from '../../services/core/kernel/state.ts'
import type { Reading } from '../../services/core/model/input.ts'
import type { Learned } from '../../services/core/model/learned.ts'
import type { ActOutcome, LiveNotice, Monitor } from '../../services/core/model/ports/monitor.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import type { BoardView, SensorsView } from '../../services/core/model/views.ts'
import { testSettings } from './shop-settings.ts'

type Act = Parameters<Monitor['submit']>[0]

/** A stand-in for the running monitor: it takes every act unless told to refuse, and speaks when told to. */
export interface ScriptedMonitor extends Monitor {
  readonly submitted: Act[]
  readonly changedSecrets: string[]
  /** The answer to the acts that follow. */
  readonly answer: (outcome: ActOutcome) => void
  readonly be: (health: { ok: boolean; problems: string[] }) => void
  readonly say: (latest: readonly Reading[]) => void
  readonly listeners: () => number
}

/** Learned anew, and so far from before that it waits for a person. */
const WAITING: Learned = {
  kind: 'cleaningInterval',
  subjectId: 'roll',
  fromMs: 1_798_000_000_000,
  toMs: 1_799_900_000_000,
  version: '1',
  hours: 4,
}

export function createScriptedMonitor({ title = 'Roll 60' }: { title?: string } = {}): ScriptedMonitor {
  let settings: Settings = testSettings()
  let outcome: ActOutcome = { ok: true }
  let health = { ok: true, problems: [] as string[] }
  const listeners = new Set<(notice: LiveNotice) => void>()
  const submitted: Act[] = []
  const changedSecrets: string[] = []
  const waiting: Learned[] = [WAITING]
  return {
    nowMs: () => 1_800_000_000_000,
    settings: () => settings,
    learned: () => ({ inForce: [], waiting }),
    quiets: () => [],
    replyPaths: () => [],
    submit: async (act) => {
      // As the real one: the answer comes after a commit, and the new settings hold from then on.
      await new Promise((resolve) => setImmediate(resolve))
      submitted.push(act)
      if (outcome.ok && act.type === 'settings') settings = act.settings
      return outcome
    },
    board: () => boardView(title),
    proofNow: (task) =>
      task.workKey.startsWith('emptyBottle')
        ? { text: 'The weight has not fallen.', atMs: 1_800_000_000_000, verdict: 'contradicted' }
        : null,
    lastEmptyings: () => [{ bottleId: 'roll-waste', atMs: 1_799_990_000_000, volumeMl: 1400 }],
    sensors: () => sensorsView(title),
    closing: () => closingView(closingMaterial(initialKernel(settings), 1_800_000_000_000)),
    subscribe: (listener) => {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    nodeSecretChanged: (nodeId) => changedSecrets.push(nodeId),
    readingsWaiting: () => 0,
    wayIn: () => ({
      broker: 'own',
      host: '127.0.0.1',
      port: 1883,
      encrypted: false,
      thisComputerOnly: true,
    }),
    health: () => health,
    submitted,
    changedSecrets,
    answer: (next) => (outcome = next),
    be: (next) => (health = next),
    say: (latest) => listeners.forEach((listener) => listener({ lastEventId: 0, latest })),
    listeners: () => listeners.size,
  }
}

function boardView(title: string): BoardView {
  return {
    nowMs: 1_800_000_000_000,
    fromMs: 1_799_956_800_000,
    site: {
      id: 'quayside',
      title: 'Quayside Film & Print',
      timeZone: 'Europe/Brussels',
      temperatureUnit: 'degC',
      volumeUnit: 'mL',
      open: false,
      nextChangeMs: null,
    },
    statement: 'Closed. Nothing needs you before morning.',
    nextSteps: [],
    closedSpans: [],
    quiets: [],
    machines: [
      {
        id: 'roll',
        title,
        roomTitle: 'Print floor',
        standing: 'well',
        sentence: 'Well.',
        evidence: 'On, capped, 48 %RH.',
        action: null,
        alarm: null,
        otherAlarms: 0,
        humidity: { limitPct: 40, nowPct: 48, runs: [[[1_799_999_000_000, 48]]] },
        power: { now: 'on', spans: [], bandsFrom: null },
        cleanings: [],
        cap: 'capped',
        servicedUntilMs: null,
        outOfService: false,
        inks: [],
        night: null,
        why: null,
        bottle: null,
      },
    ],
    rooms: [
      {
        id: 'floor',
        title: 'Print floor',
        temperatureC: 22,
        humidityPct: 48,
        dewPointC: 10.4,
        vpdKpa: 1.37,
        outdoors: false,
        targetPct: 45,
        waterToLiftKg: null,
        waterToHoldKgPerH: null,
      },
    ],
    shopAlarms: [],
    sensors: { reporting: 4, assigned: 4, unassigned: 0 },
    quarantined: 0,
    openTasks: 0,
    lastReadingMs: 1_799_999_999_000,
    plaintextBeyondLoopback: false,
  }
}

function sensorsView(title: string): SensorsView {
  return {
    sensors: [
      {
        id: 'bench/humidity',
        title,
        quantity: 'humidity',
        unit: '%RH',
        assignedTo: { kind: 'room', id: 'floor', title: 'Print floor' },
        lastValue: 48,
        lastAtMs: 1_799_999_999_000,
        silent: false,
        readings: 10,
      },
    ],
    nodes: [],
    quarantine: [
      {
        topic: 'x',
        code: 'notJson',
        reason: 'the payload is no JSON',
        sample: '<b>',
        count: 1,
        firstMs: 1,
        lastMs: 1,
      },
    ],
    counts: { readings: 10, conflicts: 0, quarantined: 1, notJudged: 0, inputs: 12 },
  }
}

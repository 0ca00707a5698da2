import { BOARD_PAST_MS, type BoardMaterial, type Known } from '../core/advise/board.ts'
import { latestKey } from '../core/advise/room-view.ts'
import { machineStrip, type MachineStrip, type SensorPast } from '../core/advise/strip.ts'
import { silentLimitMs } from '../core/kernel/plan.ts'
import type { KernelState } from '../core/kernel/state.ts'
import type { NightlyFacts } from '../core/forecast/with-night.ts'
import type { Reading } from '../core/model/input.ts'
import type { Learned } from '../core/model/learned.ts'
import type { RecordsReader } from '../core/model/ports/records.ts'
import type { Machine, SensorBinding, Settings } from '../core/model/settings.ts'
import type { QuietView } from '../core/model/views.ts'
import type { BottleFacts } from '../core/track/bottle-facts.ts'

const HUMIDITY_BUCKET_MS = 5 * 60_000
const POWER_BUCKET_MS = 60_000
const MASS_BUCKET_MS = 10 * 60_000

export interface BoardSources {
  readonly reader: RecordsReader
  readonly state: KernelState
  readonly nowMs: number
  readonly plaintextBeyondLoopback: boolean
  readonly readingsWaiting: number | null
  readonly ownTroubles: readonly string[]
}

/** Reads from the book of record what the board is made of. */
export function boardMaterial({
  reader,
  state,
  nowMs,
  plaintextBeyondLoopback,
  readingsWaiting,
  ownTroubles,
}: BoardSources): BoardMaterial {
  const { settings, plan } = state
  const newest = new Map(reader.latestReadings().map((r) => [`${r.sensorId}|${r.quantity}`, r]))
  const past = (sensor: SensorBinding | undefined, bucketMs: number): SensorPast | undefined =>
    sensor && sensorPast({ sensor, bucketMs, reader, settings, nowMs, newest })
  const assigned = new Set(settings.sensors.map((s) => s.id))
  const heard = reader.heardSensors()
  const silent = [...state.sensors.values()].filter((s) => s.open).length
  return {
    nowMs,
    settings,
    calendar: plan.calendar,
    alarms: [...state.shop.alarms.values()].filter((a) => a.state !== 'normal'),
    openTasks: [...state.shop.tasks.values()],
    latest: latestValues(settings, newest, nowMs),
    strips: new Map(settings.machines.map((m) => [m.id, stripOf(m, { settings, past, nowMs })])),
    ...knownOf(state),
    closingDoneMs: state.shop.closing.doneMs,
    episodes: new Map([...state.shop.episodes].map(([id, { episode }]) => [id, episode])),
    quiets: quietsOf(state),
    floodSinceMs: state.shop.flood.sinceMs,
    waiting: [...state.waiting.values()].map((learned) => waitingText(learned, settings)),
    sensors: {
      reporting: assigned.size - silent,
      assigned: assigned.size,
      unassigned: heard.filter((h) => !assigned.has(h.sensorId)).length,
    },
    quarantined: reader.counts().quarantined,
    lastReadingMs: heard.length === 0 ? null : Math.max(...heard.map((h) => h.receivedMs)),
    plaintextBeyondLoopback,
    readingsWaiting,
    ownTroubles,
  }
}

/** What the kernel knows of machines and bottles. Facts are read, never kept: the next input changes them in place. */
function knownOf({ subjects, plan, settings }: KernelState): Pick<BoardMaterial, 'machines' | 'bottles'> {
  const known = <Facts>(kind: string, ids: readonly { id: string }[]): Map<string, Known<Facts>> =>
    new Map(
      ids.flatMap(({ id }) => {
        const subject = subjects.get(`${kind}:${id}`)
        const context = plan.contexts.get(`${kind}:${id}`)
        return subject && context ? [[id, { facts: subject.facts as Facts, context }]] : []
      }),
    )
  return {
    machines: known<NightlyFacts>('machine', settings.machines),
    bottles: known<BottleFacts>('bottle', settings.bottles),
  }
}

export function quietsOf({ shop }: KernelState): QuietView[] {
  return [...shop.quiets].map(([id, quiet]) => ({ id, ...quiet }))
}

function waitingText({ kind, subjectId }: Learned, settings: Settings): string {
  const title = settings.machines.find((m) => m.id === subjectId)?.title ?? subjectId
  return kind === 'powerBands' ? `the power bands of ${title}` : `${kind} of ${title}`
}

interface StripSources {
  readonly settings: Settings
  readonly past: (sensor: SensorBinding | undefined, bucketMs: number) => SensorPast | undefined
  readonly nowMs: number
}

function stripOf(machine: Machine, { settings, past, nowMs }: StripSources): MachineStrip {
  const bottle = settings.bottles.find((b) => b.machines.includes(machine.id))
  const bound = (
    kind: string,
    id: string | undefined,
    quantities: readonly string[],
  ): SensorBinding | undefined =>
    settings.sensors.find(
      (s) => s.subject.kind === kind && s.subject.id === id && quantities.includes(s.quantity),
    )
  return machineStrip({
    bottle,
    humidity: past(bound('room', machine.room, ['humidity']), HUMIDITY_BUCKET_MS),
    power: past(bound('machine', machine.id, ['power', 'powered']), POWER_BUCKET_MS),
    mass: past(bound('bottle', bottle?.id, ['mass']), MASS_BUCKET_MS),
    nowMs,
  })
}

interface PastQuery {
  readonly sensor: SensorBinding
  readonly bucketMs: number
  readonly reader: RecordsReader
  readonly settings: Settings
  readonly nowMs: number
  readonly newest: ReadonlyMap<string, Reading>
}

function sensorPast({ sensor, bucketMs, reader, settings, nowMs, newest }: PastQuery): SensorPast {
  return {
    quantity: sensor.quantity,
    points: reader.series({ sensorId: sensor.id, fromMs: nowMs - BOARD_PAST_MS, toMs: nowMs + 1, bucketMs }),
    bucketMs,
    validForMs: silentLimitMs(sensor, settings),
    newest: newest.get(`${sensor.id}|${sensor.quantity}`) ?? null,
  }
}

/** The mean of each quantity of a subject over its sensors that still speak. */
function latestValues(
  settings: Settings,
  newest: ReadonlyMap<string, Reading>,
  nowMs: number,
): ReadonlyMap<string, number> {
  const values = new Map<string, number[]>()
  for (const sensor of settings.sensors) {
    const reading = newest.get(`${sensor.id}|${sensor.quantity}`)
    if (!reading || nowMs - reading.atMs > silentLimitMs(sensor, settings)) continue
    const key = latestKey(`${sensor.subject.kind}:${sensor.subject.id}`, sensor.quantity)
    values.set(key, [...(values.get(key) ?? []), reading.value])
  }
  return new Map([...values].map(([key, list]) => [key, list.reduce((a, b) => a + b, 0) / list.length]))
}

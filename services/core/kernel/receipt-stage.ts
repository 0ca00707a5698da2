import type { Finding } from '../detect/detector.ts'
import { fireSilent, noteReceived, silentDeadlineMs } from '../detect/sensor-silent.ts'
import { darkShownUntilMs } from '../detect/monitor-dark.ts'
import type { Episode } from '../model/episode.ts'
import type { InputOf } from '../model/input.ts'
import type { Subject } from '../model/subject.ts'
import { fireNode, nodeDeadlineMs } from './node-stage.ts'
import { silentLimitMs } from './plan.ts'
import { receiptEpisode, type ReceiptSink } from './receipt-episode.ts'
import type { KernelState, SensorState } from './state.ts'

/** Silence after the monitor was dark is held for at least this long. */
const HOLD_AFTER_DARK_MS = 5 * 60_000

/** Every assigned sensor is watched from its assignment on; one that is no longer assigned is forgotten. */
export function followSensors(state: KernelState, atMs: number, sink: ReceiptSink): void {
  for (const [sensorId, sensor] of state.sensors) {
    if (state.plan.bindings.has(sensorId)) continue
    if (sensor.episode) sink.episodeClosed({ ...sensor.episode, toMs: atMs, closedMs: atMs })
    state.sensors.delete(sensorId)
  }
  for (const sensorId of state.plan.bindings.keys()) {
    if (!state.sensors.has(sensorId)) {
      state.sensors.set(sensorId, { lastReceivedMs: atMs, holdUntilMs: atMs, open: false, episode: null })
    }
  }
}

export function sensorHeard(
  state: KernelState,
  sensorId: string,
  receivedMs: number,
  sink: ReceiptSink,
): void {
  const sensor = state.sensors.get(sensorId)
  if (!sensor) return
  const finding = noteReceived(sensor, receivedMs)
  if (finding) record(state, sensorId, sensor, finding, sink)
}

/** After a gap of the monitor itself nobody could be heard: silence is held for a while from `atMs` on. */
export function monitorWasDark(
  state: KernelState,
  { fromMs, atMs }: InputOf<'monitorDark'>,
  sink: ReceiptSink,
): void {
  for (const [sensorId, sensor] of state.sensors) {
    const intervalMs = state.plan.bindings.get(sensorId)?.intervalMs ?? 0
    sensor.holdUntilMs = atMs + Math.max(HOLD_AFTER_DARK_MS, 2 * intervalMs)
  }
  endDark(state, atMs, sink)
  const minutes = (atMs - fromMs) / 60_000
  const site: Subject = { kind: 'site', id: state.settings.site.id }
  const episode: Episode = {
    ...receiptEpisode('monitorDark', site, { fromMs, openedMs: atMs }, state),
    value: minutes,
    worst: minutes,
  }
  state.dark = { episode, returnMs: atMs, untilMs: darkShownUntilMs(atMs, state.plan.calendar) }
  sink.episodeOpened(episode)
}

function endDark(state: KernelState, atMs: number, sink: ReceiptSink): void {
  if (!state.dark) return
  const { episode, returnMs } = state.dark
  state.dark = null
  sink.episodeClosed({ ...episode, toMs: returnMs, closedMs: atMs })
}

export function receiptDeadlineMs(state: KernelState): number {
  let soonest = state.dark?.untilMs ?? Infinity
  for (const [sensorId, sensor] of state.sensors) {
    const at = silentDeadlineMs(sensor, limitMs(state, sensorId))
    if (at < soonest) soonest = at
  }
  for (const node of state.nodes.values()) soonest = Math.min(soonest, nodeDeadlineMs(state, node))
  return soonest
}

export function fireReceipts(state: KernelState, clockMs: number, sink: ReceiptSink): void {
  for (const [sensorId, sensor] of state.sensors) {
    const at = silentDeadlineMs(sensor, limitMs(state, sensorId))
    if (at <= clockMs) record(state, sensorId, sensor, fireSilent(sensor, at), sink)
  }
  for (const [nodeId, node] of state.nodes) fireNode({ state, nodeId, node, sink }, clockMs)
  if (state.dark && state.dark.untilMs <= clockMs) endDark(state, state.dark.untilMs, sink)
}

function limitMs(state: KernelState, sensorId: string): number {
  const binding = state.plan.bindings.get(sensorId)
  return binding ? silentLimitMs(binding, state.settings) : Infinity
}

function record(
  state: KernelState,
  sensorId: string,
  sensor: SensorState,
  finding: Finding,
  sink: ReceiptSink,
): void {
  if (finding.type === 'opened') {
    const { fromMs, openedMs } = finding
    const subject: Subject = { kind: 'sensor', id: sensorId }
    sensor.episode = receiptEpisode('sensorSilent', subject, { fromMs, openedMs }, state)
    sink.episodeOpened(sensor.episode)
  } else if (sensor.episode) {
    const closed = { ...sensor.episode, toMs: finding.toMs, closedMs: finding.closedMs }
    sensor.episode = null
    sink.episodeClosed(closed)
  }
}

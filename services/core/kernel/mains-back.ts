import type { Asking } from '../alarms/telling/telling-state.ts'
import { mainsBackWords } from '../alarms/telling/notice-words.ts'
import { affectedMachines } from '../assess/affected-machines.ts'
import type { Episode } from '../model/episode.ts'
import type { Machine } from '../model/settings.ts'
import type { MachineFacts } from '../track/machine.ts'
import { isOutOfService } from './quiet.ts'
import { openEpisodesOf } from './shop-alarms.ts'
import { alarmsOf, telling, tellThose, type TellingRun } from './telling-run.ts'

const MIN = 60_000
/** Machines get this long after the mains to be heard again before they are called still off. Starting value. */
const MAINS_BACK_WAIT_MS = 3 * MIN
/** A machine that was last seen on this long before the mains fell went off with it. Starting value. */
const WITH_THE_MAINS_MS = 10 * MIN
/** After a day whoever was told has seen for themselves. */
const LONGEST_WAIT_MS = 24 * 60 * MIN

/** Is this an outage of the shop's mains that is not over for those who were told of it, though its alarms are? */
export function waitsForMachines(run: TellingRun, asking: Asking): boolean {
  const { mainsOut, mainsBackMs, told } = asking
  if (!mainsOut || mainsBackMs === null || told.length === 0) return false
  if (run.nowMs < mainsBackMs + MAINS_BACK_WAIT_MS) return true
  return run.nowMs < mainsBackMs + LONGEST_WAIT_MS && stillOff(run, asking).length > 0
}

/** Notes whether the mains is out in it, and when it came back. */
export function followMains(run: TellingRun, asking: Asking): void {
  if (episodesOf(run, asking).some((e) => e.condition === 'mainsLost')) {
    asking.mainsOut = true
    asking.mainsBackMs = null
  } else if (asking.mainsOut) asking.mainsBackMs ??= run.nowMs
}

/** Of an outage: the mains came back, and a machine that it took has not. */
export function tellMainsBack(run: TellingRun): void {
  for (const asking of telling(run).askings.values()) {
    followMains(run, asking)
    const { mainsBackMs, mainsBackDone, fromMs } = asking
    if (mainsBackDone || mainsBackMs === null || run.nowMs < mainsBackMs + MAINS_BACK_WAIT_MS) continue
    asking.mainsBackDone = true
    const titles = stillOff(run, asking).map((m) => m.title)
    if (titles.length === 0) continue
    const { settings } = run.state
    const words = mainsBackWords({
      stillOff: titles,
      fromMs,
      backMs: mainsBackMs,
      settings,
      nowMs: run.nowMs,
    })
    tellThose(run, asking, { alarmId: asking.alarmIds[0] ?? null, words })
  }
}

/** When machines are looked at after the mains came back, or Infinity. */
export function mainsBackDueMs({ mainsBackMs, mainsBackDone }: Asking): number {
  return mainsBackDone || mainsBackMs === null ? Infinity : mainsBackMs + MAINS_BACK_WAIT_MS
}

function stillOff(run: TellingRun, asking: Asking): readonly Machine[] {
  const { settings } = run.state
  const told = episodesOf(run, asking)
    .filter((e) => e.condition === 'powerLost' || e.condition === 'leftOff')
    .flatMap((e) => affectedMachines(e.subject, settings))
  return settings.machines.filter((m) => told.includes(m) || wentOffWithIt(run, asking, m.id))
}

/** Its own sensors say that it is off, and that it was on until then. */
function wentOffWithIt({ state, nowMs }: TellingRun, { fromMs }: Asking, machineId: string): boolean {
  const facts = state.subjects.get(`machine:${machineId}`)?.facts as MachineFacts | undefined
  if (facts?.power.state !== 'off' || isOutOfService(state.shop.quiets.values(), machineId, nowMs))
    return false
  return (facts.power.lastOnMs ?? -Infinity) >= fromMs - WITH_THE_MAINS_MS
}

function episodesOf(run: TellingRun, asking: Asking): readonly Episode[] {
  return alarmsOf(run, asking).flatMap((a) => openEpisodesOf(run.state, a))
}

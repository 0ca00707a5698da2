import type { BoardView, MachineView, QuietView } from '../../../services/core/model/views.ts'
import { dayClock } from './shop-time.ts'

type Told = Pick<BoardView, 'nowMs' | 'quiets' | 'site'>

/** The planned quiet that a machine is under now. */
export function quietOf(
  machineId: string,
  kind: QuietView['kind'],
  { quiets, nowMs }: Pick<BoardView, 'quiets' | 'nowMs'>,
): QuietView | undefined {
  return quiets.find(
    (quiet) =>
      quiet.kind === kind &&
      (quiet.machineId === null || quiet.machineId === machineId) &&
      quiet.fromMs <= nowMs &&
      (quiet.toMs === null || quiet.toMs > nowMs),
  )
}

/** What is particular about a machine now, each as words that stand alone; none when nothing is. */
export function stateWords(
  machine: Pick<MachineView, 'id' | 'cap' | 'servicedUntilMs' | 'outOfService'>,
  { nowMs, quiets, site }: Told,
): readonly string[] {
  const until = (atMs: number | null): string =>
    atMs === null ? '' : ` until ${dayClock(atMs, { timeZone: site.timeZone, nowMs })}`
  const { cap, servicedUntilMs } = machine
  const away = quietOf(machine.id, 'outOfService', { quiets, nowMs })
  const work = quietOf(machine.id, 'powerWork', { quiets, nowMs })
  return [
    ...(machine.outOfService ? [`Out of service${until(away?.toMs ?? null)}`] : []),
    ...(work ? [`Planned work on the power${until(work.toMs)}`] : []),
    ...(servicedUntilMs !== null && servicedUntilMs > nowMs
      ? [`Being serviced${until(servicedUntilMs)}`]
      : []),
    ...(cap === 'probablyUncapped' ? ['Probably off its cap'] : []),
    ...(cap === 'uncapped' ? ['Off its cap'] : []),
  ]
}

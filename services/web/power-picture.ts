import { learnedKey, type Learned, type LearnedValues } from '../core/model/learned.ts'
import type { PowerBands } from '../core/model/learned/power-bands.ts'
import type { SeriesPoint } from '../core/model/ports/records.ts'
import type { Machine, Settings } from '../core/model/settings.ts'
import { meterOf, powerRuleOf } from '../core/track/power-rule.ts'

/** So many columns between the least and the most power drawn; a starting value. */
const COLUMNS = 48
/** What is drawn below this is drawn as this: a logarithm knows no zero. */
const LEAST_W = 0.5

export interface PowerColumn {
  readonly fromW: number
  readonly toW: number
  readonly minutes: number
}

/**
 * How long a machine drew how much: minutes by power, the columns of equal width on a logarithmic axis, since a
 * machine at rest and one that prints are a hundredfold apart.
 *
 * PICTURE-1 every minute falls into one column, and the columns meet without a gap.
 */
export function powerColumns(minutes: readonly Pick<SeriesPoint, 'mean'>[]): PowerColumn[] {
  if (minutes.length === 0) return []
  const watts = minutes.map(({ mean }) => Math.max(LEAST_W, mean))
  const top = watts.reduce((a, b) => Math.max(a, b), 2 * LEAST_W)
  const width = Math.log(top / LEAST_W) / COLUMNS
  const counts = new Array<number>(COLUMNS).fill(0)
  for (const w of watts) {
    const at = Math.min(COLUMNS - 1, Math.floor(Math.log(w / LEAST_W) / width))
    counts[at] = (counts[at] ?? 0) + 1
  }
  const edge = (at: number): number => LEAST_W * Math.exp(width * at)
  return counts.map((n, at) => ({ fromW: edge(at), toW: edge(at + 1), minutes: n }))
}

export interface PowerBandsSaid {
  /** The meter that tells the levels apart; null with a contact alone. */
  readonly meterId: string | null
  readonly from: 'learned' | 'told' | 'startingValues'
  readonly offBelowW: number
  readonly standbyTopW: number | null
  readonly cleaningW: readonly [number, number] | null
  readonly printingW: readonly [number, number] | null
}

/** The bands by which this machine is judged now. */
export function bandsInForce(
  machine: Machine,
  { sensors }: Settings,
  inForce: readonly Learned[],
): PowerBandsSaid {
  const learned: LearnedValues = new Map(inForce.map((l) => [learnedKey(l), l]))
  const own = new Map(
    sensors
      .filter(({ subject }) => subject.kind === 'machine' && subject.id === machine.id)
      .map((s) => [s.id, s]),
  )
  const { bands, bandsFrom, offBelowW } = powerRuleOf(machine, learned, own)
  return {
    meterId: meterOf(own),
    from: bandsFrom,
    offBelowW,
    standbyTopW: bands?.standbyTopW ?? null,
    cleaningW: bands?.cleaningW ?? null,
    printingW: bands?.printingW ?? null,
  }
}

/** The learned bands of a machine among `values`, or null. */
export function learnedBandsOf(machineId: string, values: readonly Learned[]): PowerBands | null {
  const found = values.find((l) => l.kind === 'powerBands' && l.subjectId === machineId)
  return found?.kind === 'powerBands' ? found : null
}

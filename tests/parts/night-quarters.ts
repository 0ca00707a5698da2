import { QUARTER_MS, type MachineQuarter } from '../../services/core/model/quarter.ts'

export interface QuarterPlan {
  readonly fromMs: number
  readonly toMs: number
  /** Where the dose of `roll-white` stands at the end of the nth quarter. */
  readonly doseAt?: (n: number) => number
  readonly change?: (n: number) => Partial<MachineQuarter>
}

/** Quarters of a quiet machine on standby, in air of 1 kPa deficit: a quarter of a kPa h each. */
export function quietQuarters({ fromMs, toMs, doseAt, change }: QuarterPlan): MachineQuarter[] {
  const first = Math.floor(fromMs / QUARTER_MS) + 1
  const count = Math.ceil(toMs / QUARTER_MS) - first + 1
  return Array.from({ length: count }, (_, n) => ({
    machineId: 'roll',
    endMs: (first + n) * QUARTER_MS,
    seconds: { standby: 900 },
    cleanings: 0,
    uncappedS: 0,
    deficitKpa: 1,
    inks: ['roll-colour', 'roll-white'].map((channelGroupId) => ({
      channelGroupId,
      doseKpaH: doseAt?.(n) ?? (n + 1) / 4,
      certainKpaH: null,
    })),
    ...change?.(n),
  }))
}

/** Machines are noted at every quarter of an hour of UTC, which is one of every shop's own time too. */
export const QUARTER_MS = 15 * 60_000

/** What a machine can be seen doing. `on` is all that a contact can tell. */
export const MACHINE_DOINGS = ['unknown', 'off', 'on', 'standby', 'cleaning', 'printing'] as const
export type MachineDoing = (typeof MACHINE_DOINGS)[number]

/** An ink at the end of a quarter. */
export interface NotedInk {
  readonly channelGroupId: string
  /** Drying dose since it was last wetted, kPa h. */
  readonly doseKpaH: number
  /** The same as far as it is certain; null where it may have been wetted unseen. */
  readonly certainKpaH: number | null
}

/** A quarter of an hour of a machine, kept for good: what History draws and Causes counts. */
export interface MachineQuarter {
  readonly machineId: string
  /** Its end, ms since 1970. */
  readonly endMs: number
  /** Seconds in each state; they add up to 900, or to less where it came under watch within it. */
  readonly seconds: Readonly<Partial<Record<MachineDoing, number>>>
  /** Seen or logged within it. */
  readonly cleanings: number
  /** Seconds of it off its cap, or probably so, at most 900. */
  readonly uncappedS: number
  /** Vapour pressure deficit of the air around its heads at the end, kPa; null where not known. */
  readonly deficitKpa: number | null
  readonly inks: readonly NotedInk[]
}

export type Range = readonly [number, number]

/** From what random shops, and what befalls them, are drawn. All numbers are invented starting values. */
export interface ShopRanges {
  /** Seeds from here on, so that two sets never share a shop. */
  readonly firstSeed: number
  /** The shop's first day lies within this time. */
  readonly start: Range
  readonly rooms: Range
  readonly machines: Range
  readonly timeZones: readonly string[]
  readonly opensAtH: Range
  readonly openForH: Range
  readonly saturdayOpen: number
  /** Shares of machines: two on one bottle, a contact alone, a contact beside the meter, bands and interval told. */
  readonly sharedBottle: number
  readonly contactOnly: number
  readonly contactToo: number
  readonly bandsTold: number
  readonly cleaningTold: number
  readonly heater: number
  /** Shares of rooms: without a humidifier, with a second probe; and of shops: a mains contact at the monitor. */
  readonly noHumidifier: number
  readonly secondProbe: number
  readonly mainsContact: number
  readonly everyMs: readonly number[]
  readonly volumeM3: Range
  readonly airChangesPerH: Range
  readonly humidifierPct: Range
  readonly dayC: Range
  /** How much colder the room is kept at night. */
  readonly nightCoolerK: Range
  readonly cleaningEveryH: Range
  readonly cleaningMin: Range
  readonly cleaningMl: Range
  readonly printingMlPerH: Range
  readonly pauseMin: Range
  readonly standbyW: Range
  /** Cleaning over standby, and printing over cleaning. */
  readonly cleaningTimes: Range
  readonly printingTimes: Range
  readonly heaterW: Range
  readonly capacityMl: Range
  readonly tareErrorG: Range
  /** Bottles whose scale stands in the sun, and how much it swings. */
  readonly sunny: number
  readonly scaleSwingK: Range
  /** Mean time between two things that befall a machine, a room, a bottle, a node; and the whole shop's power. */
  readonly betweenDays: {
    readonly machine: Range
    readonly room: Range
    readonly bottle: Range
    readonly node: Range
    readonly mains: Range
  }
}

/** What limits and rules were tuned on. */
export const TUNING: ShopRanges = {
  firstSeed: 1,
  start: [Date.parse('2025-01-06T00:00:00Z'), Date.parse('2025-12-20T00:00:00Z')],
  rooms: [1, 2],
  machines: [1, 3],
  timeZones: ['Europe/Brussels', 'Europe/Lisbon', 'America/New_York'],
  opensAtH: [7.5, 9.5],
  openForH: [8, 10],
  saturdayOpen: 0.4,
  sharedBottle: 0.25,
  contactOnly: 0.2,
  contactToo: 0.25,
  bandsTold: 0.3,
  cleaningTold: 0.5,
  heater: 0.4,
  noHumidifier: 0.15,
  secondProbe: 0.25,
  mainsContact: 0.5,
  everyMs: [60_000, 60_000, 120_000],
  volumeM3: [50, 180],
  airChangesPerH: [0.2, 0.5],
  humidifierPct: [46, 53],
  dayC: [20.5, 23],
  nightCoolerK: [0.5, 3],
  cleaningEveryH: [3, 8],
  cleaningMin: [3, 5],
  cleaningMl: [5, 14],
  printingMlPerH: [4, 15],
  pauseMin: [15, 45],
  standbyW: [18, 55],
  cleaningTimes: [1.9, 2.6],
  printingTimes: [1.5, 2.1],
  heaterW: [150, 350],
  capacityMl: [1500, 3000],
  tareErrorG: [-3, 3],
  sunny: 0.3,
  scaleSwingK: [8, 15],
  betweenDays: { machine: [4, 10], room: [5, 12], bottle: [4, 10], node: [15, 30], mains: [20, 45] },
}

/** What the frozen rules are judged on: other seeds, ranges shifted and wider. Seen already: from 1,000,001, 2,000,001, 3,000,001 and 4,000,001. */
export const FINAL: ShopRanges = {
  ...TUNING,
  firstSeed: 5_000_001,
  start: [Date.parse('2026-01-05T00:00:00Z'), Date.parse('2027-11-20T00:00:00Z')],
  machines: [1, 4],
  timeZones: ['Europe/Athens', 'Europe/Dublin', 'America/Chicago', 'Australia/Sydney', 'Asia/Tokyo'],
  opensAtH: [6.5, 11],
  openForH: [6.5, 11.5],
  saturdayOpen: 0.55,
  sharedBottle: 0.35,
  contactOnly: 0.25,
  bandsTold: 0.2,
  cleaningTold: 0.4,
  heater: 0.5,
  noHumidifier: 0.2,
  everyMs: [60_000, 60_000, 120_000, 180_000],
  volumeM3: [35, 260],
  airChangesPerH: [0.15, 0.8],
  humidifierPct: [44, 56],
  dayC: [19.5, 24.5],
  nightCoolerK: [0, 5],
  cleaningEveryH: [2, 12],
  cleaningMin: [2.5, 7],
  cleaningMl: [3, 18],
  printingMlPerH: [3, 22],
  pauseMin: [10, 70],
  standbyW: [12, 80],
  cleaningTimes: [1.7, 3],
  printingTimes: [1.35, 2.4],
  heaterW: [100, 500],
  capacityMl: [1000, 5000],
  tareErrorG: [-6, 6],
  sunny: 0.4,
  scaleSwingK: [10, 15],
  betweenDays: { machine: [3, 12], room: [4, 15], bottle: [3, 12], node: [10, 40], mains: [15, 60] },
}

/** One thing that differs between two settings, as a person would say it. */
export interface SettingsDifference {
  /** Where it stands, dots between the parts, ids in place of numbers: `rooms.floor.targetPct`. */
  readonly path: string
  /** `Room Print floor, humidity to hold: from 45 to 50 %RH`. */
  readonly text: string
}

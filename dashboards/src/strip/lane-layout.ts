import type { MachineView } from '../../../services/core/model/views.ts'
import type { StripRoom } from './sheet-geometry.ts'

export interface Lane {
  readonly top: number
  readonly height: number
  /** The baseline of the lane's name. */
  readonly nameY: number
}

export interface Lanes {
  readonly humidity: Lane
  readonly inks: Lane | null
  readonly power: Lane
  readonly bottle: Lane | null
  readonly heightPx: number
}

/** Room for the marks of cleanings over the power lane, in letters. */
export const CLEANINGS_REM = 0.75

/**
 * Lanes from top to bottom, cause above effect: humidity, the drying of the ink, power with its cleanings above and
 * room for its words below, bottle. In letters, so that a wall scales it.
 */
export function layLanes(
  { standing, bottle: own, inks: ownInks }: Pick<MachineView, 'standing' | 'bottle' | 'inks'>,
  { remPx, names }: StripRoom,
): Lanes {
  // What needs someone gets room for its evidence; what is well stays small.
  const isTall = standing === 'actNow' || standing === 'beforeOpening'
  const isPhone = names === 'above'
  const nameRem = isPhone ? 1.25 : 0
  let yRem = isPhone ? 0 : 0.5
  const lane = (heightRem: number, { before = 0, after }: { before?: number; after: number }): Lane => {
    const topRem = yRem + nameRem + before
    yRem = topRem + heightRem + after
    const nameY = isPhone ? topRem - before - 0.35 : topRem - before + 0.75
    return { top: topRem * remPx, height: heightRem * remPx, nameY: nameY * remPx }
  }
  const humidity = lane(isTall ? 4.2 : 2.5, { after: 0.5 })
  const inks = ownInks.length > 0 ? lane(isTall ? 3.3 : 2.8, { after: 0.3 }) : null
  const power = lane(0.8, { before: CLEANINGS_REM, after: 1.1 })
  const bottle = own ? lane(isTall ? 2.3 : 1.7, { after: 0.4 }) : null
  return { humidity, inks, power, bottle, heightPx: yRem * remPx }
}

/** Which modules of a code to scan are dark, row by row. */
export interface CodeModules {
  readonly size: number
  /** `size` times `size` values; not 0 is dark. */
  readonly data: ArrayLike<number>
}

/** Light room around the code that a camera needs, in modules (ISO/IEC 18004: four). */
export const QUIET_ZONE = 4

/** The dark modules as one SVG path: a bar for each run in a row. The quiet zone is part of the measure. */
export function qrPath({ size, data }: CodeModules): string {
  const bars: string[] = []
  for (let row = 0; row < size; row++) {
    for (let from = 0; from < size; from++) {
      if (!data[row * size + from]) continue
      let to = from
      while (to < size && data[row * size + to]) to++
      bars.push(`M${from + QUIET_ZONE} ${row + QUIET_ZONE}h${to - from}v1h${from - to}z`)
      from = to
    }
  }
  return bars.join('')
}

/** The whole address that a phone opens: the name the shop is reached by from elsewhere, else this page's own. */
export function linkOf(
  path: string,
  { publicUrl, origin }: { publicUrl: string | null; origin: string },
): string {
  return (publicUrl ?? origin).replace(/\/+$/, '') + path
}

/** Does this address lead nowhere but to the computer itself? A phone that scans it would look for itself. */
export function isThisComputerOnly(url: string): boolean {
  const { hostname } = new URL(url)
  return hostname === 'localhost' || hostname === '[::1]' || hostname.startsWith('127.')
}

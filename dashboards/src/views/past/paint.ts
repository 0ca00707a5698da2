/** The colours of the page as a canvas needs them, `#rrggbb`. */
export interface Paint {
  readonly paper: string
  readonly closed: string
  readonly ink: string
  readonly soft: string
  readonly line: string
  readonly hair: string
  readonly trace: string
  readonly power: string
  readonly family: string
}

/** As the style sheets have them now, in light or dark. */
export function paintOf(root: HTMLElement): Paint {
  const style = getComputedStyle(root)
  const of = (name: string): string => style.getPropertyValue(`--${name}`).trim()
  return {
    paper: of('paper'),
    closed: of('closed'),
    ink: of('ink'),
    soft: of('soft'),
    line: of('line'),
    hair: of('hair'),
    trace: of('trace'),
    power: of('power'),
    family: getComputedStyle(document.body).fontFamily,
  }
}

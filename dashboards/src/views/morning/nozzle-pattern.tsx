import { useRef } from 'preact/hooks'

const ACROSS = 12
const ROWS = 5
const LINES = ACROSS * ROWS
const CELL_W = 24
const ROW_H = 40
/** Each line of a row lies a little lower than the one before, as a nozzle beside another one prints it. */
const STEP = 2.2

interface PatternProps {
  readonly title: string
  /** Numbers of the lines that are missing, from the top left. */
  readonly places: readonly number[]
  readonly toggle: (place: number) => void
}

/**
 * Our own drawing of a nozzle check, of a machine that is nobody's: five rows of short lines like stairs. A line that is
 * touched becomes a gap. It says about where, not which nozzle: the pattern of each machine is another.
 */
export function NozzlePattern({ title, places, toggle }: PatternProps) {
  const svg = useRef<SVGSVGElement>(null)
  const at = places.at(-1) ?? 0
  const onKeyDown = (event: KeyboardEvent, place: number): void => {
    const next = NEXT[event.key]?.(place)
    if (event.key === ' ' || event.key === 'Enter') toggle(place)
    else if (next === undefined) return
    else svg.current?.querySelector<SVGGElement>(`[data-place="${(next + LINES) % LINES}"]`)?.focus()
    event.preventDefault()
  }
  return (
    <svg
      ref={svg}
      class="pattern"
      viewBox={`0 0 ${ACROSS * CELL_W} ${ROWS * ROW_H}`}
      role="group"
      aria-label={`Pattern of ${title}: touch each line that is missing`}
    >
      {Array.from({ length: LINES }, (_, place) => {
        const isMissing = places.includes(place)
        const x = (place % ACROSS) * CELL_W
        const y = Math.floor(place / ACROSS) * ROW_H
        const lineY = y + 7 + (place % ACROSS) * STEP
        return (
          <g
            key={place}
            role="checkbox"
            tabindex={place === at ? 0 : -1}
            data-place={place}
            aria-checked={isMissing}
            aria-label={`Row ${Math.floor(place / ACROSS) + 1}, line ${(place % ACROSS) + 1} missing`}
            onClick={(event) => {
              event.currentTarget.focus()
              toggle(place)
            }}
            onKeyDown={(event) => onKeyDown(event, place)}
          >
            <rect class="pattern-cell" x={x} y={y} width={CELL_W} height={ROW_H} />
            {isMissing ? (
              <circle class="pattern-gap" cx={x + CELL_W / 2} cy={lineY} r={6} />
            ) : (
              <path class="pattern-line" d={`M${x + 2} ${lineY}h${CELL_W - 4}`} />
            )}
          </g>
        )
      })}
    </svg>
  )
}

const NEXT: Readonly<Record<string, (place: number) => number>> = {
  ArrowRight: (place) => place + 1,
  ArrowLeft: (place) => place - 1,
  ArrowDown: (place) => place + ACROSS,
  ArrowUp: (place) => place - ACROSS,
}

/** The same pattern, small and only to look at: where nozzles were marked. */
export function PatternMarks({ title, places }: { title: string; places: readonly number[] }) {
  return (
    <svg
      class="pattern pattern-small"
      viewBox={`0 0 ${ACROSS * CELL_W} ${ROWS * ROW_H}`}
      role="img"
      aria-label={`${title}: ${places.length} marked on the pattern`}
    >
      {Array.from({ length: LINES }, (_, place) => {
        const x = (place % ACROSS) * CELL_W
        const lineY = Math.floor(place / ACROSS) * ROW_H + 7 + (place % ACROSS) * STEP
        return places.includes(place) ? (
          <circle key={place} class="pattern-gap" cx={x + CELL_W / 2} cy={lineY} r={9} />
        ) : (
          <path key={place} class="pattern-line" d={`M${x + 2} ${lineY}h${CELL_W - 4}`} />
        )
      })}
    </svg>
  )
}

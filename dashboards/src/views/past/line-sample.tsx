import { DASHES } from './track-plot.ts'

/** How the line of this place is drawn. */
export function LineSample({ index }: { index: number }) {
  return (
    <svg class="past-sample" viewBox="0 0 40 8" aria-hidden="true">
      <path d="M0 4H40" stroke-dasharray={(DASHES[index % DASHES.length] ?? []).join(' ') || undefined} />
    </svg>
  )
}

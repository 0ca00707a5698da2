import type { Standing } from '../words/standing-words.ts'

/** The shape of a standing. The word always stands beside it, so the drawing itself says nothing to a reader. */
export function StandingMark({ standing }: { standing: Standing }) {
  return (
    <svg class={`mark mark-${standing}`} viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {SHAPES[standing]}
    </svg>
  )
}

const SHAPES = {
  actNow: <path d="M12 2 23 21.5H1Z" />,
  beforeOpening: <path d="M12 2.5 21.5 12 12 21.5 2.5 12Z" />,
  well: <circle cx="12" cy="12" r="8" />,
  setAside: (
    <>
      <circle cx="12" cy="12" r="8" />
      <path d="M12 4v16" />
    </>
  ),
  unknown: (
    <>
      <circle cx="12" cy="12" r="9.5" />
      <path class="mark-question" d="M9 9.6a3 3 0 1 1 4.4 2.6c-1 .5-1.4 1-1.4 2M12 16.6v.6" />
    </>
  ),
}

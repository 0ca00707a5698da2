/** Nothing has come yet. */
export function Waiting() {
  return (
    <p class="waiting" role="status">
      Asking the monitor…
    </p>
  )
}

/** Something went wrong: a sentence with the cure, and the way to try again. */
export function Trouble({
  text,
  retry,
  retryWord = 'Try again',
}: {
  text: string
  retry?: () => void
  retryWord?: string
}) {
  return (
    <div class="trouble" role="alert">
      <p>{text}</p>
      {retry && (
        <button type="button" class="plain strong" onClick={retry}>
          {retryWord}
        </button>
      )}
    </div>
  )
}

/** Reads out what was just done, and shows it. */
export function Announcement({ text }: { text: string }) {
  return (
    <p class="announcement" role="status" aria-live="polite">
      {text}
    </p>
  )
}

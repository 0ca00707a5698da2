/** A log that keeps what was said. */
export function createQuietLog(): {
  info: (context: object, text: string) => void
  warn: (context: object, text: string) => void
  error: (context: object, text: string) => void
  lines: string[]
  /** Everything, contexts too, as one text: for asking what must not be in it. */
  whole: () => string
} {
  const lines: string[] = []
  const contexts: object[] = []
  const say = (context: object, text: string): void => {
    lines.push(text)
    contexts.push(context)
  }
  return { info: say, warn: say, error: say, lines, whole: () => JSON.stringify([lines, contexts]) }
}

/** A clock that goes when the test says so. */
export function handClock() {
  let nowMs = 0
  const waiting: { atMs: number; then: () => void }[] = []
  return {
    timers: {
      nowMs: () => nowMs,
      later: (ms: number, then: () => void) => {
        const entry = { atMs: nowMs + ms, then }
        waiting.push(entry)
        return () => void waiting.splice(waiting.indexOf(entry), waiting.includes(entry) ? 1 : 0)
      },
    },
    go: (ms: number) => {
      nowMs += ms
      for (const entry of waiting.filter((w) => w.atMs <= nowMs)) {
        waiting.splice(waiting.indexOf(entry), 1)
        entry.then()
      }
    },
    waiting: () => waiting.map((w) => w.atMs - nowMs),
  }
}

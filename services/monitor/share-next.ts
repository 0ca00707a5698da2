/**
 * Work that is done once at a time, however many ask for it. What begins after somebody asked is theirs: whoever asks
 * while it runs gets the next, and all who wait for that share it. So there is never more than one under way and one to
 * come, and nobody is given what was read before they asked.
 */
export function shareNext<T>(work: () => Promise<T>): () => Promise<T> {
  let last: Promise<unknown> = Promise.resolve()
  let next: Promise<T> | null = null
  return () => {
    if (next) return next
    const mine = last.then(() => {
      next = null
      return work()
    })
    next = mine
    last = mine.catch(() => undefined)
    return mine
  }
}

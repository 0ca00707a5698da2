/** Asks again and again until the answer is no longer null, and fails with `what` after `withinMs`. */
export async function waitFor<T>(
  what: string,
  ask: () => Promise<T | null> | T | null,
  withinMs = 15_000,
): Promise<T> {
  const endMs = Date.now() + withinMs
  for (;;) {
    const answer = await ask()
    if (answer !== null) return answer
    if (Date.now() > endMs) throw new Error(`waited ${withinMs} ms in vain for ${what}`)
    await new Promise((resolve) => setTimeout(resolve, 25))
  }
}

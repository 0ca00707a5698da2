import { setImmediate } from 'node:timers/promises'

/** Some ms of work on small computers. Starting value. */
const AT_ONCE = 100

/**
 * Goes through items so that whoever else waits for the event loop has a turn after every few of them: long work on it
 * then holds up nobody.
 */
export async function* inTurns<T>(items: Iterable<T>, atOnce = AT_ONCE): AsyncGenerator<T, void, undefined> {
  let since = 0
  for (const item of items) {
    if (since === atOnce) {
      await setImmediate()
      since = 0
    }
    since++
    yield item
  }
}

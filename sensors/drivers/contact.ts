import { readFile } from 'node:fs/promises'
import { setTimeout as wait } from 'node:timers/promises'
import { type Channel, fault } from './channel.ts'
import { type Found, readFault } from './sysfs.ts'

export interface ContactChannelConfig {
  /** A file that holds 0 or 1, such as the value file of a GPIO line. */
  readonly path: string
  /** Does 0 mean that there is power? */
  readonly activeLow: boolean
  /** How long a change must stand before it is believed. */
  readonly debounceMs: number
}

/** Looks again this often before a contact is called bouncing (starting value). */
const LOOKS = 5

/** Is there power? Debounced. */
export function createContactChannel({ path, activeLow, debounceMs }: ContactChannelConfig): Channel {
  const look = async (): Promise<Found<boolean>> => {
    const level = await readLevel(path)
    return level.ok ? { ok: true, value: level.value !== activeLow } : level
  }
  return createDebouncedChannel(look, { debounceMs, path })
}

/**
 * A contact that closes bounces for some ms.
 *
 * CONTACT-1 a value like the last one is believed at once.
 * CONTACT-2 a change is believed when two looks, `debounceMs` apart, agree.
 * CONTACT-3 one that never settles is a fault, not a guess.
 */
export function createDebouncedChannel(
  look: () => Promise<Found<boolean>>,
  { debounceMs, path }: { debounceMs: number; path: string },
): Channel {
  let believed: boolean | undefined
  return {
    read: async () => {
      let seen = await look()
      for (let looks = 1; seen.ok; looks++) {
        if (seen.value === believed) return seen
        if (looks > LOOKS) return fault(`${path} keeps changing: check the contact, or raise debounceMs`)
        await wait(debounceMs)
        const again = await look()
        if (again.ok && again.value === seen.value) believed = again.value
        seen = again
      }
      return seen
    },
  }
}

async function readLevel(path: string): Promise<Found<boolean>> {
  try {
    const text = (await readFile(path, 'utf8')).trim()
    if (text === '0' || text === '1') return { ok: true, value: text === '1' }
    return {
      ok: false,
      fault: `${path} holds ${JSON.stringify(text.slice(0, 40))}, not 0 or 1: name the value file of the line`,
    }
  } catch (error) {
    return { ok: false, fault: readFault(path, error) }
  }
}

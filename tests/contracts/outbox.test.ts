import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createDiskOutbox } from '../../sensors/outbox/disk-outbox.ts'
import { createMemoryOutbox } from '../../sensors/outbox/memory-outbox.ts'
import type { Outbox } from '../../sensors/outbox/outbox.ts'
import { type MakeOutbox, outboxContract } from './outbox-contract.ts'

let folder = ''
let made = 0
const opened: Outbox[] = []
beforeEach(() => (folder = mkdtempSync(join(tmpdir(), 'nightcap-outbox-'))))
afterEach(() => {
  for (const outbox of opened.splice(0)) outbox.close()
  rmSync(folder, { recursive: true, force: true })
})

const onDisk: MakeOutbox = (options) => {
  const outbox = createDiskOutbox({ ...options, directory: join(folder, String(made++)) })
  opened.push(outbox)
  return outbox
}

describe.each([
  ['in memory', createMemoryOutbox],
  ['on disk', onDisk],
])('an outbox %s', (_, make) => {
  it.each(outboxContract)('$rule $name', ({ check }) => check(make))
})

/** Outboxes that each break one promise. */
const broken: Readonly<Record<string, (good: Outbox) => Partial<Outbox>>> = {
  'forgets what is appended': () => ({ append: () => undefined }),
  'gives the newest first': (good) => ({ peek: (query) => [...good.peek(query)].reverse() }),
  'ignores where to begin': (good) => ({ peek: ({ limit }) => good.peek({ afterId: 0, limit }) }),
  'gives more than asked': (good) => ({ peek: ({ afterId }) => good.peek({ afterId, limit: 1000 }) }),
  'removes as it looks': (good) => ({
    peek: (query) => {
      const entries = good.peek(query)
      for (const { id } of entries) good.remove(id)
      return entries
    },
  }),
  'never removes': () => ({ remove: () => undefined }),
  'counts no drop': (good) => ({ stats: () => ({ ...good.stats(), droppedPacks: 0 }) }),
  'drops without counting': (good) => ({ drop: good.remove }),
}

describe('the contract bites', () => {
  it.each(Object.entries(broken))('an outbox that %s is found out', (_, breakIt) => {
    const make: MakeOutbox = (options) => {
      const good = createMemoryOutbox(options)
      return { ...good, ...breakIt(good) }
    }
    const failures = outboxContract.filter(({ check }) => {
      try {
        check(make)
        return false
      } catch {
        return true
      }
    })
    expect(failures.length).toBeGreaterThan(0)
  })

  it('an outbox without bounds is found out', () => {
    const make: MakeOutbox = ({ clock }) =>
      createMemoryOutbox({ clock, limits: { maxBytes: Number.MAX_VALUE, maxAgeMs: Number.MAX_VALUE } })
    expect(outboxContract.filter((c) => c.rule === 'OUTBOX-4').length).toBeGreaterThan(0)
    for (const { check, name } of outboxContract.filter((c) => /full|too old/.test(c.name))) {
      expect(() => check(make), name).toThrow()
    }
  })
})

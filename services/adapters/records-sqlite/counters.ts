import type { Database } from 'better-sqlite3'

export type CounterName =
  | 'aliveMs'
  | 'forwardedSeq'
  | 'nightsRevision'
  | 'nightsRenewedMs'
  | `nightsThrough|${string}`
  | 'notJudged'
  | 'prunedInputSeq'
  | 'quarantined'
  | 'quarantineSamples'
  | 'quarantinedWithoutSample'
  | 'readings'

export interface Counters {
  readonly get: (name: CounterName) => number | null
  readonly set: (name: CounterName, value: number) => void
  readonly add: (name: CounterName, amount: number) => void
}

/** Numbers with a name, kept in the same transactions as what they count. */
export function createCounters(db: Database): Counters {
  const get = db.prepare<[string], { value: number }>('SELECT value FROM counter WHERE name = ?')
  const set = db.prepare<[string, number]>(
    'INSERT INTO counter (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
  )
  const add = db.prepare<[string, number]>(
    'INSERT INTO counter (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = value + excluded.value',
  )
  return {
    get: (name) => get.get(name)?.value ?? null,
    set: (name, value) => void set.run(name, value),
    add: (name, amount) => void add.run(name, amount),
  }
}

/** Changes to plain Maps and lists that a failed transaction takes back, the last one first. */
export interface UndoJournal {
  readonly put: <K, V>(map: Map<K, V>, key: K, value: V) => void
  readonly drop: <K, V>(map: Map<K, V>, key: K) => void
  readonly push: <T>(list: T[], item: T) => void
  readonly transaction: <T>(work: () => T) => T
}

export function createUndoJournal(): UndoJournal {
  const undo: (() => void)[] = []
  let depth = 0
  const note = (back: () => void): void => {
    if (depth > 0) undo.push(back)
  }
  /** Restores by key and not by order: nothing that reads these maps may rely on their order. */
  const restore = <K, V>(map: Map<K, V>, key: K): void => {
    if (!map.has(key)) return note(() => map.delete(key))
    const before = map.get(key) as V
    note(() => map.set(key, before))
  }
  return {
    put: (map, key, value) => {
      restore(map, key)
      map.set(key, value)
    },
    drop: (map, key) => {
      restore(map, key)
      map.delete(key)
    },
    push: (list, item) => {
      list.push(item)
      note(() => list.pop())
    },
    transaction: (work) => {
      const mark = undo.length
      depth++
      try {
        return work()
      } catch (error) {
        for (let back = undo.length; back > mark; back--) undo.pop()?.()
        throw error
      } finally {
        depth--
        if (depth === 0) undo.length = 0
      }
    },
  }
}

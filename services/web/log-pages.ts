import type { LogWindow } from '../core/model/ports/records.ts'

const FIRST_READ_MS = 90 * 86_400_000

/** How a part of the logbook is read: at most `limit`, or a few more, since entries of one moment stay together. */
export interface PageQuestion<T> {
  readonly window: LogWindow
  readonly limit: number
  readonly read: (part: LogWindow) => readonly T[]
  readonly timeOf: (entry: T) => number
}

/** The last first: from the end of the window back, until it is enough. `moreBeforeMs`: the next page is before this. */
export function lastPage<T>({ window, limit, read, timeOf }: PageQuestion<T>): {
  shown: readonly T[]
  moreBeforeMs: number | null
} {
  const widest = window.toMs - window.fromMs
  const all = [
    ...readUntilEnough({ widest, limit }, (widthMs) => read({ ...window, fromMs: window.toMs - widthMs })),
  ].sort((a, b) => timeOf(b) - timeOf(a))
  const last = all[limit - 1] ?? all.at(-1)
  const shown = all.filter((e) => last !== undefined && timeOf(e) >= timeOf(last))
  return { shown, moreBeforeMs: last && all.length > shown.length ? timeOf(last) : null }
}

/** The oldest first, from the beginning of the window on. `moreFromMs`: the next page begins with this. */
export function firstPage<T>({ window, limit, read, timeOf }: PageQuestion<T>): {
  shown: readonly T[]
  moreFromMs: number | null
} {
  const widest = window.toMs - window.fromMs
  const all = readUntilEnough({ widest, limit }, (widthMs) =>
    read({ ...window, toMs: window.fromMs + widthMs }),
  )
  const last = all[limit - 1]
  const shown = last === undefined ? all : all.filter((e) => timeOf(e) <= timeOf(last))
  return { shown, moreFromMs: last && all.length > shown.length ? timeOf(last) + 1 : null }
}

/** More than are asked for where there are more: so that a page of a long log does not read the whole of it. */
function readUntilEnough<T>(
  { widest, limit }: { widest: number; limit: number },
  read: (widthMs: number) => readonly T[],
): readonly T[] {
  for (let widthMs = FIRST_READ_MS; widthMs < widest; widthMs *= 4) {
    const some = read(widthMs)
    if (some.length > limit) return some
  }
  return read(widest)
}

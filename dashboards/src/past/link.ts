import type { PastWindow } from './window.ts'

/** What is compared, by id; null leaves the choice to the monitor: all machines with their rooms and bottles. */
export interface Chosen {
  readonly machines: readonly string[]
  readonly rooms: readonly string[]
  readonly bottles: readonly string[]
}

/** All that makes a picture of the past, so that the same link shows the same. */
export interface PastLink {
  /** Null: the last day. */
  readonly window: PastWindow | null
  readonly chosen: Chosen | null
  readonly isTable: boolean
}

const KINDS = ['machines', 'rooms', 'bottles'] as const

/** LINK-1 a link that is written and read again is the same; times are whole seconds. */
export function toQuery({ window, chosen, isTable }: PastLink): string {
  const query = new URLSearchParams()
  if (window) {
    query.set('from', timeText(window.fromMs))
    query.set('to', timeText(window.toMs))
  }
  if (chosen) for (const kind of KINDS) query.set(kind, chosen[kind].join(','))
  if (isTable) query.set('show', 'table')
  return query.toString().replaceAll('%3A', ':').replaceAll('%2C', ',')
}

/** LINK-2 what makes no sense is left out, so that a mangled link still opens the page. */
export function fromQuery(text: string): PastLink {
  const query = new URLSearchParams(text)
  const [fromMs, toMs] = [Date.parse(query.get('from') ?? ''), Date.parse(query.get('to') ?? '')]
  const isWindow = Number.isFinite(fromMs) && Number.isFinite(toMs) && fromMs >= 0 && fromMs < toMs
  const ids = (kind: string): string[] => (query.get(kind) ?? '').split(',').filter((id) => id !== '')
  return {
    window: isWindow ? { fromMs, toMs } : null,
    chosen: KINDS.some((kind) => query.has(kind))
      ? { machines: ids('machines'), rooms: ids('rooms'), bottles: ids('bottles') }
      : null,
    isTable: query.get('show') === 'table',
  }
}

/** The question to the monitor, of the picture and of the CSV alike. */
export function askedOf(window: PastWindow, chosen: Chosen | null, points: number): string {
  const query = new URLSearchParams({
    from: String(window.fromMs),
    to: String(window.toMs),
    points: String(points),
  })
  if (chosen) for (const kind of KINDS) query.set(kind, chosen[kind].join(','))
  return query.toString()
}

function timeText(atMs: number): string {
  return new Date(atMs).toISOString().replace('.000Z', 'Z')
}

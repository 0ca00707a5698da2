import type { ServerResponse } from 'node:http'
import type { Monitor } from '../core/model/ports/monitor.ts'
import type { RecordedEvent, RecordsReader } from '../core/model/ports/records.ts'
import type { Reading } from '../core/model/input.ts'

/** Limits of event streams; starting values. */
export const STREAM_LIMITS = {
  heartbeatMs: 15_000,
  latestEveryMs: 1_000,
  /** A client with more than this waiting is cut. */
  waitingBytes: 256 * 1024,
  streams: 100,
  streamsOfOne: 10,
}
export type StreamLimits = typeof STREAM_LIMITS

/** How many events are read at a time while a client catches up. */
const PAGE = 100

export interface StreamClient {
  /** Session or token: each has at most `streamsOfOne` streams. */
  readonly key: string
  readonly isStillGood: () => boolean
  /** May it see values of sensors? Without, `latest` only says that something moved. */
  readonly seesReadings: boolean
  /** Events after this one are owed; null starts from now. */
  readonly afterId: number | null
}

export interface EventStreams {
  /** Is there room for one more stream of this session or token? */
  readonly room: (key: string) => 'free' | 'full' | 'fullForOne'
  /** Takes over an answer that has sent nothing yet, and writes events until either side ends it. */
  readonly open: (raw: ServerResponse, client: StreamClient, headers: Record<string, string>) => void
  /** Ends the streams whose session or token is no longer good. */
  readonly recheck: () => void
  readonly count: () => number
  readonly close: () => void
}

interface Stream {
  readonly client: StreamClient
  readonly catchUp: () => void
  readonly write: (text: string) => void
  readonly beat: () => void
  readonly end: () => void
}

export interface EventStreamParts {
  readonly monitor: Pick<Monitor, 'subscribe'>
  readonly records: Pick<RecordsReader, 'eventsAfter' | 'lastEventId'>
  readonly limits?: Partial<StreamLimits>
}

/** Server-sent events (WHATWG HTML, section 9.2) for all clients at once. */
export function createEventStreams({ monitor, records, limits }: EventStreamParts): EventStreams {
  const {
    heartbeatMs,
    latestEveryMs,
    waitingBytes,
    streams: most,
    streamsOfOne,
  } = { ...STREAM_LIMITS, ...limits }
  const streams = new Set<Stream>()
  const latest = createLatest(latestEveryMs, (withValues, without) => {
    for (const stream of streams) stream.write(stream.client.seesReadings ? withValues : without)
  })
  const unsubscribe = monitor.subscribe((notice) => {
    for (const stream of streams) stream.catchUp()
    if (streams.size > 0) latest.note(notice.latest)
  })
  const recheck = (): void => {
    for (const stream of streams) if (!stream.client.isStillGood()) stream.end()
  }
  const heartbeat = setInterval(() => {
    recheck()
    for (const stream of streams) stream.beat()
  }, heartbeatMs)
  heartbeat.unref()

  return {
    room: (key) => {
      if (streams.size >= most) return 'full'
      return [...streams].filter((s) => s.client.key === key).length >= streamsOfOne ? 'fullForOne' : 'free'
    },
    open: (raw, client, headers) => {
      raw.writeHead(200, {
        ...headers,
        'content-type': 'text/event-stream',
        'cache-control': 'no-store',
        // Some proxies gather answers before they pass them on; this asks them not to.
        'x-accel-buffering': 'no',
      })
      const stream = createStream({ raw, client, records, waitingBytes })
      streams.add(stream)
      raw.on('close', () => streams.delete(stream))
      stream.catchUp()
    },
    recheck,
    count: () => streams.size,
    close: () => {
      unsubscribe()
      clearInterval(heartbeat)
      latest.stop()
      for (const stream of streams) stream.end()
    },
  }
}

interface StreamParts {
  readonly raw: ServerResponse
  readonly client: StreamClient
  readonly records: EventStreamParts['records']
  readonly waitingBytes: number
}

/**
 * One client. Events wait on disk and are read in pages as fast as it takes them, so a long catch-up costs no
 * memory. It is cut when more than `waitingBytes` wait for it, or when it took nothing between two heartbeats.
 */
function createStream({ raw, client, records, waitingBytes }: StreamParts): Stream {
  const newest = records.lastEventId()
  // An id from the future belongs to another book of record: nothing is owed for it.
  let cursor = Math.min(client.afterId ?? newest, newest)
  let blocked = false
  let blockedAtBeat = false

  const write = (text: string): void => {
    if (raw.writableEnded || raw.destroyed) return
    if (!raw.write(text)) blocked = true
    if (raw.writableLength > waitingBytes) raw.destroy()
  }
  const catchUp = (): void => {
    while (!blocked && !raw.destroyed && !raw.writableEnded) {
      const events = records.eventsAfter({ afterId: cursor, limit: PAGE })
      for (const event of events) {
        cursor = event.id
        write(toEventText(event))
        if (blocked) return
      }
      if (events.length < PAGE) return
    }
  }
  raw.on('drain', () => {
    blocked = false
    blockedAtBeat = false
    catchUp()
  })
  // An id without data moves the client's Last-Event-ID and fires nothing: a client that loses the line before
  // the first event still resumes from here.
  write(`retry: 3000\nid: ${cursor}\n\n`)
  return {
    client,
    catchUp,
    write,
    beat: () => {
      if (blocked && blockedAtBeat) return void raw.destroy()
      blockedAtBeat = blocked
      write(': still here\n\n')
    },
    end: () => {
      raw.end()
      // A connection kept open for a next request would hold up the close of the app.
      if (blocked) raw.destroy()
      else raw.socket?.destroySoon()
    },
  }
}

/** JSON has no line break of its own, so one data line holds it all. */
function toEventText({ id, kind, body }: RecordedEvent): string {
  return `id: ${id}\nevent: ${kind}\ndata: ${JSON.stringify(body)}\n\n`
}

/** Gathers the newest reading of each sensor, and sends at once and then at most every `everyMs`. */
function createLatest(everyMs: number, send: (withValues: string, without: string) => void) {
  const pending = new Map<string, Reading>()
  let timer: NodeJS.Timeout | null = null
  const flush = (): void => {
    timer = null
    if (pending.size === 0) return
    const readings = [...pending.values()]
    pending.clear()
    send(toLatestText(readings), toLatestText([]))
    timer = setTimeout(flush, everyMs)
    timer.unref()
  }
  return {
    note: (readings: readonly Reading[]): void => {
      for (const reading of readings) pending.set(reading.sensorId, reading)
      if (timer === null) flush()
    },
    stop: (): void => {
      if (timer) clearTimeout(timer)
      timer = null
      pending.clear()
    },
  }
}

function toLatestText(readings: readonly Reading[]): string {
  return `event: latest\ndata: ${JSON.stringify({ readings })}\n\n`
}

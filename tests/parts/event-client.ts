export interface ReceivedEvent {
  readonly id: string
  readonly event: string
  readonly data: string
}

/** Reads server-sent events as WHATWG HTML section 9.2.6 says, keeping the last event id as a browser does. */
export interface EventClient {
  readonly status: number
  readonly headers: Headers
  /** All events so far. */
  readonly events: readonly ReceivedEvent[]
  readonly comments: readonly string[]
  readonly lastEventId: () => string
  /** Resolves when the stream has ended, from either side. */
  readonly ended: Promise<void>
  readonly hangUp: () => void
}

export async function openEventClient(url: string, headers: Record<string, string>): Promise<EventClient> {
  const abort = new AbortController()
  const response = await fetch(url, { headers, signal: abort.signal })
  const events: ReceivedEvent[] = []
  const comments: string[] = []
  let lastEventId = headers['last-event-id'] ?? ''
  const takeBlock = (block: string): void => {
    let event = 'message'
    const data: string[] = []
    for (const line of block.split('\n')) {
      const [, field = '', value = ''] = /^([^:]*): ?(.*)$/.exec(line) ?? []
      if (field === '') comments.push(value)
      else if (field === 'id') lastEventId = value
      else if (field === 'event') event = value
      else if (field === 'data') data.push(value)
    }
    if (data.length > 0) events.push({ id: lastEventId, event, data: data.join('\n') })
  }
  const read = async (): Promise<void> => {
    let rest = ''
    const decoder = new TextDecoder()
    try {
      for await (const chunk of response.body ?? []) {
        const blocks = (rest + decoder.decode(chunk as Uint8Array, { stream: true })).split('\n\n')
        rest = blocks.pop() ?? ''
        blocks.forEach(takeBlock)
      }
    } catch {
      // Hung up, here or there: the stream has ended either way.
    }
  }
  return {
    status: response.status,
    headers: response.headers,
    events,
    comments,
    lastEventId: () => lastEventId,
    ended: read(),
    hangUp: () => abort.abort(),
  }
}

/** Topics of the wire. A node publishes to exactly its two; the monitor publishes the state of machines. */
export function readingsTopic(site: string, node: string): string {
  return `nightcap/v1/${site}/node/${node}/readings`
}

export function statusTopic(site: string, node: string): string {
  return `nightcap/v1/${site}/node/${node}/status`
}

export function machineStateTopic(site: string, machine: string): string {
  return `nightcap/v1/${site}/machine/${machine}/state`
}

export interface NodeTopic {
  readonly site: string
  readonly node: string
  readonly kind: 'readings' | 'status'
}

/** What a node's topic says, or null for any other topic. */
export function parseNodeTopic(topic: string): NodeTopic | null {
  const [root, version, site, word, node, kind, ...rest] = topic.split('/')
  if (root !== 'nightcap' || version !== 'v1' || word !== 'node' || rest.length > 0) return null
  if (!site || !node || (kind !== 'readings' && kind !== 'status')) return null
  return { site, node, kind }
}

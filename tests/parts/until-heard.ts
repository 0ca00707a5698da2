import { connectAsync } from 'mqtt'
import { readingsTopic } from '../../services/core/model/topics.ts'
import { waitFor } from './wait-for.ts'

export interface Probing {
  readonly url: string
  readonly site: string
  readonly node: string
  readonly secret: string
  readonly nowMs: () => number
  /** Has the monitor heard of the sensor `{node}/probe`? */
  readonly heard: () => Promise<boolean> | boolean
}

/**
 * Publishes in the node's name until the monitor hears it. A broker keeps messages for a session that has subscribed,
 * and after a change of the site that takes the monitor a moment.
 */
export async function untilHeard({ url, site, node, secret, nowMs, heard }: Probing): Promise<void> {
  const client = await connectAsync(url, { clientId: node, username: node, password: secret })
  await waitFor('the monitor to hear the node', async () => {
    const pack = [{ n: `${node}/probe`, u: 'V', v: 1, t: nowMs() / 1000 }]
    await client.publishAsync(readingsTopic(site, node), JSON.stringify(pack), { qos: 1 })
    await new Promise((resolve) => setTimeout(resolve, 100))
    return (await heard()) || null
  })
  await client.endAsync()
}

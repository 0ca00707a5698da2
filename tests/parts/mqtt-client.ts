import mqtt, { type IClientOptions, type MqttClient } from 'mqtt'

/** Nodes in tests sign in with this; nothing outside a test takes it. */
export const secretOf = (id: string): string => `secret of ${id}`

/** Of mqtt.js, with undefined to take out what stands here by default. */
export type ClientOptions = { [K in keyof IClientOptions]?: IClientOptions[K] | undefined }

export interface TestClient {
  readonly client: MqttClient
  /** Publishes at QoS 1; resolves when acknowledged. */
  readonly publish: (
    topic: string,
    payload: string | Buffer,
    options?: { qos?: 0 | 1 | 2; retain?: boolean },
  ) => Promise<void>
  /** The same, as a question: has it been acknowledged yet? */
  readonly start: (topic: string, payload: string | Buffer) => { acknowledged: () => boolean }
  readonly untilClosed: Promise<void>
  readonly end: () => Promise<void>
}

/** A real client on a real socket, connected. @throws what the broker says when it refuses. */
export async function connectClient(
  port: number,
  id: string,
  options: ClientOptions = {},
): Promise<TestClient> {
  const client = mqtt.connect({
    protocol: 'mqtt',
    host: '127.0.0.1',
    port,
    clientId: id,
    username: id,
    password: secretOf(id),
    reconnectPeriod: 0,
    ...options,
  } as IClientOptions)
  const untilClosed = new Promise<void>((resolve) => client.once('close', () => resolve()))
  await new Promise<void>((resolve, reject) => {
    client.once('connect', () => resolve())
    client.once('error', reject)
    client.once('close', () => reject(new Error('closed before it was connected')))
  }).catch(async (error: unknown) => {
    await client.endAsync(true)
    throw error
  })
  client.on('error', () => undefined)
  return {
    client,
    publish: async (topic, payload, publishOptions = {}) => {
      await client.publishAsync(topic, payload, { qos: 1, ...publishOptions })
    },
    start: (topic, payload) => {
      let acknowledged = false
      client.publish(topic, payload, { qos: 1 }, (error) => {
        acknowledged = !error
      })
      return { acknowledged: () => acknowledged }
    },
    untilClosed,
    end: () => client.endAsync(true),
  }
}

/** A SenML pack of one humidity. */
export function humidityPack(node: string, value: number): string {
  return JSON.stringify([{ n: `${node}/humidity`, u: '%RH', v: value }])
}

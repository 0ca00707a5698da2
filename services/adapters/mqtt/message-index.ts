import type { Quantity } from '../../core/model/quantity.ts'
import type { Settings } from '../../core/model/settings.ts'
import { matchesTopicFilter } from './topic-filter.ts'

/** How one sensor's value is read from a device that does not speak SenML. */
export interface ForeignBinding {
  readonly sensorId: string
  /** The part of the sensor's id before the slash: the name its device signs in with. */
  readonly deviceId: string
  readonly quantity: Quantity
  readonly topicFilter: string
  readonly pointer: string
  readonly scale: number
  readonly offset: number
}

/** What the settings say about messages, arranged for looking up. Made anew when the settings change. */
export interface MessageIndex {
  readonly site: string
  /** Scales that were calibrated on the page: what they send x scale + offset is kg. */
  readonly corrections: ReadonlyMap<string, { readonly scale: number; readonly offset: number }>
  /** Devices with at least one foreign binding. */
  readonly deviceIds: ReadonlySet<string>
  /** All foreign filters, in the order of the settings. */
  readonly foreignFilters: readonly string[]
  /** The bindings that a topic feeds; of one device only, where it is known who published. */
  readonly bindingsOf: (topic: string, deviceId: string | null) => readonly ForeignBinding[]
}

/** Topics whose bindings are remembered: a device has few, and a stranger must not fill our memory. */
const REMEMBERED_TOPICS = 5_000

export function toMessageIndex(settings: Settings): MessageIndex {
  const bindings = settings.sensors.flatMap(({ id, quantity, foreign }): ForeignBinding[] => {
    if (!foreign) return []
    const { topicFilter, pointer, scale, offset } = foreign
    return [
      { sensorId: id, deviceId: id.slice(0, id.indexOf('/')), quantity, topicFilter, pointer, scale, offset },
    ]
  })
  const remembered = new Map<string, readonly ForeignBinding[]>()
  const matching = (topic: string): readonly ForeignBinding[] => {
    const known = remembered.get(topic)
    if (known) return known
    const found = bindings.filter((b) => matchesTopicFilter(b.topicFilter, topic))
    if (remembered.size >= REMEMBERED_TOPICS) remembered.clear()
    remembered.set(topic, found)
    return found
  }
  return {
    site: settings.site.id,
    corrections: new Map(
      settings.sensors.flatMap(({ id, correction }) => (correction ? [[id, correction] as const] : [])),
    ),
    deviceIds: new Set(bindings.map((b) => b.deviceId)),
    foreignFilters: bindings.map((b) => b.topicFilter),
    bindingsOf: (topic, deviceId) =>
      deviceId === null ? matching(topic) : matching(topic).filter((b) => b.deviceId === deviceId),
  }
}

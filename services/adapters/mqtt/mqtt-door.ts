import type { Settings } from '../../core/model/settings.ts'

/** What the wiring sees of MQTT, whichever broker it is. */
export interface MqttDoor {
  /** Publishes the state of a machine, retained. Resolves once the broker has it; rejects if it could not be told. */
  readonly publishState: (topic: string, body: string) => Promise<void>
  /** Takes new settings into use: site, bindings. */
  readonly updateSettings: (settings: Settings) => void
  /** What a person should know or do about it now, each with its cure. */
  readonly problems: () => readonly string[]
  /** Takes nothing new, lets what is under way be committed and acknowledged, then ends all connections. */
  readonly close: () => Promise<void>
}

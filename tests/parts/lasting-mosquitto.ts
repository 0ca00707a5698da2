import { type Mosquitto, type MosquittoOptions, startMosquitto } from './mosquitto.ts'

/**
 * A broker whose sessions survive a restart, so that what a test misses was lost by the sender. They are saved at a
 * clean stop: saving every change would make this slow.
 */
export function startLastingMosquitto(directory: string, options: MosquittoOptions): Promise<Mosquitto> {
  const config = [
    'persistence true',
    `persistence_location ${directory}/`,
    'autosave_interval 0',
    'max_queued_messages 0',
    'max_inflight_messages 0',
  ]
  return startMosquitto({ ...options, config })
}

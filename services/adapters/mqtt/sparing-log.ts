import type { Clock } from '../../core/model/ports/clock.ts'

/** The part of a logger that the MQTT adapter uses. */
export interface MqttLog {
  readonly info: (context: object, text: string) => void
  readonly warn: (context: object, text: string) => void
  readonly error: (context: object, text: string) => void
}

const QUIET_MS = 60_000
const REMEMBERED = 1_000

/** Says the same thing (one key) at most once a minute: a device that fails, fails in a loop. */
export function createSparingLog({ log, clock }: { log: MqttLog; clock: Clock }): {
  readonly warn: (key: string, context: object, text: string) => void
} {
  const saidMs = new Map<string, number>()
  return {
    warn: (key, context, text) => {
      const nowMs = clock.nowMs()
      const lastMs = saidMs.get(key)
      if (lastMs !== undefined && nowMs - lastMs < QUIET_MS) return
      if (saidMs.size >= REMEMBERED) saidMs.clear()
      saidMs.set(key, nowMs)
      log.warn(context, text)
    },
  }
}

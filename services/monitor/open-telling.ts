import { createMailSender } from '../adapters/notify-mail/create-mail-sender.ts'
import { createPushSender, createVapidKeys } from '../adapters/notify-push/create-push-sender.ts'
import { createWebhookSender } from '../adapters/notify-webhook/create-webhook-sender.ts'
import type { Clock } from '../core/model/ports/clock.ts'
import type { NoticeStore } from '../core/model/ports/notice-store.ts'
import type { HttpPost } from '../core/model/ports/notify.ts'
import type { BookOfRecord } from '../core/model/ports/records.ts'
import type { MonitorConfig } from './config.ts'
import { createDeliveries, type Deliveries } from './deliver-notices.ts'
import type { Engine } from './engine.ts'
import { createSealer } from './key-file.ts'
import type { Log } from './log.ts'
import { createTelling, type TellingInside } from './telling-port.ts'
import { createWaysOut } from './ways-out.ts'

export interface OpenTelling {
  readonly telling: TellingInside
  readonly deliveries: Deliveries
}

export interface OpenTellingParts {
  readonly config: Pick<MonitorConfig, 'dataDir' | 'keyFile' | 'publicUrl'>
  readonly engine: Engine
  readonly book: BookOfRecord
  readonly store: NoticeStore
  readonly clock: Clock
  readonly post: HttpPost
  readonly log: Log
}

/** Wires how notices leave the house. */
export function openTelling(parts: OpenTellingParts): OpenTelling {
  const { config, engine, book, store, clock, post, log } = parts
  const { dataDir, keyFile, publicUrl } = config
  const settings = (): ReturnType<Engine['state']>['settings'] => engine.state().settings
  const sealer = createSealer({ keyFile, dataDir, anythingSealed: () => store.sealedNames().length > 0 })
  const { nowMs } = clock
  const createPushKeys = createVapidKeys
  const telling = createTelling({ store, sealer, publicUrl, settings, nowMs, createPushKeys })
  const vapid = (): ReturnType<Parameters<typeof createPushSender>[0]['vapid']> => {
    const keys = telling.pushKeys()
    if (!keys.ok) return { problem: keys.reason }
    const from = settings().mail?.from
    const subject = from === undefined ? publicUrl : `mailto:${from}`
    return subject === null
      ? {
          problem:
            'push services want to know whom to write to: give NIGHTCAP_PUBLIC_URL, or a mail server under Setup',
        }
      : { ...keys.value, subject }
  }
  const ways = createWaysOut({
    settings,
    telling,
    nowMs,
    push: createPushSender({ post, vapid }),
    mail: createMailSender(),
    // Signatures are judged by the wall clock of whoever gets them.
    webhook: createWebhookSender({ post, nowMs: Date.now }),
  })
  return { telling, deliveries: createDeliveries({ book, store, ...ways, nowMs, log }) }
}

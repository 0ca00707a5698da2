import { createHttpPost } from '../../services/adapters/http-post/create-http-post.ts'
import { createWebhookSender } from '../../services/adapters/notify-webhook/create-webhook-sender.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteNoticeStore } from '../../services/adapters/records-sqlite/create-notice-store.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { createDeliveries } from '../../services/monitor/deliver-notices.ts'
import { noticeOf } from '../contracts/record-samples.ts'

/** `delivery-child.ts dataDir url count`: queues notices once, and delivers them until it is killed. */
const [dataDir = '', url = '', count = '0'] = process.argv.slice(2)
const db = openDatabase({ dataDir })
const book = createSqliteBookOfRecord({ db })
const nowMs = Date.now
const webhook = createWebhookSender({ post: createHttpPost(), nowMs })
const deliveries = createDeliveries({
  book,
  store: createSqliteNoticeStore({ db }),
  targetsOf: () => [{ channel: 'webhook', targetId: 'first' }],
  send: async ({ notice }) => ({
    outcome: await webhook(
      { notice, replyUrl: null, sentMs: nowMs() },
      { url, secret: null, allowPrivate: true, source: 'urn:test' },
    ),
    target: 'test',
  }),
  nowMs,
  log: { error: (_, text) => console.error(text) },
})
book.transaction(() => {
  for (let n = 0; n < Number(count); n++) {
    const notice = noticeOf({ key: `notice-${n}`, topic: `topic-${n}`, expiresMs: nowMs() + 3_600_000 })
    book.applyEffects(1, [{ type: 'noticeQueued', notice, atMs: nowMs() }])
  }
})
console.log('ready')
setInterval(() => {
  deliveries.round()
  if (book.pendingNotices(1).length === 0) console.log('done')
}, 20)

import type { Database } from 'better-sqlite3'
import type {
  Delivery,
  DeliveryAttempt,
  Device,
  NewDelivery,
  NoticeStore,
  ReplyLink,
} from '../../core/model/ports/notice-store.ts'

/** Devices, deliveries, links to answer by and sealed secrets, in the same database as the book of record. */
export function createSqliteNoticeStore({ db }: { db: Database }): NoticeStore {
  return { ...deviceMethods(db), ...deliveryMethods(db), ...logMethods(db), ...linkMethods(db) }
}

function deviceMethods(
  db: Database,
): Pick<NoticeStore, 'devices' | 'putDevice' | 'removeDevice' | 'noteDeviceOk'> {
  const all = db.prepare<[], Device>(
    `SELECT id, person_id AS personId, title, endpoint, p256dh, auth, created_ms AS createdMs,
       last_ok_ms AS lastOkMs FROM device ORDER BY created_ms, id`,
  )
  const put = db.prepare<Omit<Device, 'lastOkMs'>>(
    `INSERT INTO device (id, person_id, title, endpoint, p256dh, auth, created_ms)
     VALUES (@id, @personId, @title, @endpoint, @p256dh, @auth, @createdMs)
     ON CONFLICT (endpoint) DO UPDATE SET person_id = excluded.person_id, title = excluded.title,
       p256dh = excluded.p256dh, auth = excluded.auth`,
  )
  const remove = db.prepare<[string]>('DELETE FROM device WHERE id = ?')
  const noteOk = db.prepare<[number, string]>('UPDATE device SET last_ok_ms = ? WHERE id = ?')
  return {
    devices: () => all.all(),
    putDevice: (device) => void put.run(device),
    removeDevice: (id) => remove.run(id).changes > 0,
    noteDeviceOk: (id, atMs) => void noteOk.run(atMs, id),
  }
}

const DELIVERY_COLUMNS = `id, notice_key AS noticeKey, contact_id AS contactId, channel, target_id AS targetId, state,
  attempts, next_ms AS nextMs, summary_key AS summaryKey`

function deliveryMethods(
  db: Database,
): Pick<NoticeStore, 'addDelivery' | 'deliveriesOf' | 'waitingDeliveries' | 'setDelivery'> {
  const insert = db.prepare<NewDelivery>(
    `INSERT INTO delivery (notice_key, contact_id, channel, target_id, next_ms)
     VALUES (@noticeKey, @contactId, @channel, @targetId, @nextMs) ON CONFLICT DO NOTHING`,
  )
  const of = db.prepare<[string], Delivery>(
    `SELECT ${DELIVERY_COLUMNS} FROM delivery WHERE notice_key IN (SELECT value FROM json_each(?)) ORDER BY id`,
  )
  const waiting = db.prepare<[], Delivery>(
    `SELECT ${DELIVERY_COLUMNS} FROM delivery WHERE state = 'waiting' ORDER BY id`,
  )
  const set = db.prepare<Pick<Delivery, 'id' | 'state' | 'attempts' | 'nextMs' | 'summaryKey'>>(
    `UPDATE delivery SET state = @state, attempts = @attempts, next_ms = @nextMs, summary_key = @summaryKey
     WHERE id = @id AND state = 'waiting'`,
  )
  return {
    addDelivery: ({ noticeKey, contactId, channel, targetId, nextMs }) =>
      void insert.run({ noticeKey, contactId, channel, targetId, nextMs }),
    deliveriesOf: (keys) => of.all(JSON.stringify(keys)),
    waitingDeliveries: () => waiting.all(),
    setDelivery: ({ id, state, attempts, nextMs, summaryKey }) =>
      void set.run({ id, state, attempts, nextMs, summaryKey }),
  }
}

function logMethods(db: Database): Pick<NoticeStore, 'logAttempt' | 'attempts' | 'pruneBefore'> {
  const log = db.prepare<DeliveryAttempt>(
    `INSERT INTO delivery_attempt (at_ms, notice_key, contact_id, channel, target, outcome, reason)
     VALUES (@atMs, @noticeKey, @contactId, @channel, @target, @outcome, @reason)`,
  )
  const newest = db.prepare<[number], DeliveryAttempt>(
    `SELECT at_ms AS atMs, notice_key AS noticeKey, contact_id AS contactId, channel, target, outcome, reason
     FROM delivery_attempt ORDER BY id DESC LIMIT ?`,
  )
  const pruneAttempts = db.prepare<[number]>('DELETE FROM delivery_attempt WHERE at_ms < ?')
  const pruneLinks = db.prepare<[number]>('DELETE FROM reply_link WHERE expires_ms < ?')
  return {
    logAttempt: (attempt) => void log.run(attempt),
    attempts: (limit) => newest.all(limit),
    pruneBefore: (atMs) => {
      pruneAttempts.run(atMs)
      pruneLinks.run(atMs)
    },
  }
}

function linkMethods(
  db: Database,
): Pick<NoticeStore, 'putReplyLink' | 'replyLink' | 'sealedSecret' | 'putSealedSecret' | 'sealedNames'> {
  const put = db.prepare<ReplyLink>(
    `INSERT INTO reply_link (token_hash, contact_id, alarm_id, notice_key, expires_ms)
     VALUES (@tokenHash, @contactId, @alarmId, @noticeKey, @expiresMs) ON CONFLICT DO NOTHING`,
  )
  const find = db.prepare<[string], ReplyLink>(
    `SELECT token_hash AS tokenHash, contact_id AS contactId, alarm_id AS alarmId, notice_key AS noticeKey,
       expires_ms AS expiresMs FROM reply_link WHERE token_hash = ?`,
  )
  const sealed = db.prepare<[string], { sealed: string }>('SELECT sealed FROM sealed_secret WHERE name = ?')
  const putSealed = db.prepare<[string, string]>(
    `INSERT INTO sealed_secret (name, sealed) VALUES (?, ?)
     ON CONFLICT (name) DO UPDATE SET sealed = excluded.sealed`,
  )
  const names = db.prepare<[], { name: string }>('SELECT name FROM sealed_secret ORDER BY name')
  return {
    putReplyLink: (link) => void put.run(link),
    replyLink: (tokenHash) => find.get(tokenHash) ?? null,
    sealedSecret: (name) => sealed.get(name)?.sealed ?? null,
    putSealedSecret: (name, text) => void putSealed.run(name, text),
    sealedNames: () => names.all().map((row) => row.name),
  }
}

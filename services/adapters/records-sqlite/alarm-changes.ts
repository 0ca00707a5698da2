import type { Database } from 'better-sqlite3'
import { alarmChangeOf, type AlarmChange } from '../../core/model/alarm-change.ts'
import type { Alarm } from '../../core/model/alarm.ts'
import type { RecordsReader } from '../../core/model/ports/records.ts'

type Json = { json: string }

/** Adds to the record what an alarm does, held against how it stood before: call it before the alarm is written. */
export function createAlarmChangeWriter(db: Database): (alarm: Alarm, atMs: number) => void {
  const find = db.prepare<[string], Json>('SELECT json FROM alarm WHERE id = ?')
  const insert = db.prepare<[number, string, string]>(
    'INSERT INTO alarm_change (at_ms, alarm_id, json) VALUES (?, ?, ?)',
  )
  return (alarm, atMs) => {
    const before = find.get(alarm.id)
    const change = alarmChangeOf(before ? (JSON.parse(before.json) as Alarm) : null, alarm, atMs)
    if (change) insert.run(atMs, alarm.id, JSON.stringify(change))
  }
}

export function createAlarmChangeQueries(
  db: Database,
): Pick<RecordsReader, 'alarmChanges' | 'recordBeginsMs'> {
  const changes = db.prepare<[number, number], Json>(
    'SELECT json FROM alarm_change WHERE at_ms >= ? AND at_ms < ? ORDER BY id',
  )
  const begins = db.prepare<[], { receivedMs: number }>(
    'SELECT received_ms AS receivedMs FROM input ORDER BY seq LIMIT 1',
  )
  return {
    alarmChanges: ({ fromMs, toMs }) =>
      changes.all(fromMs, toMs).map((row) => JSON.parse(row.json) as AlarmChange),
    recordBeginsMs: () => begins.get()?.receivedMs ?? null,
  }
}

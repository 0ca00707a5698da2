import type { Database } from 'better-sqlite3'
import type { BookOfRecord, HeardSensorNote } from '../../core/model/ports/records.ts'

/** Who was heard. A late reading tells that a sensor spoke, but not what it says now: the newest value stays. */
export function createHeardSensors(db: Database): Pick<BookOfRecord, 'noteHeard'> {
  const put = db.prepare<HeardSensorNote>(
    `INSERT INTO heard_sensor (sensor_id, node_id, quantity, at_ms, received_ms, first_received_ms, value, interval_ms, readings)
     VALUES (@sensorId, @nodeId, @quantity, @atMs, @receivedMs, @receivedMs, @value, @intervalMs, @readings)
     ON CONFLICT (sensor_id) DO UPDATE SET
       node_id = excluded.node_id,
       received_ms = max(received_ms, excluded.received_ms),
       interval_ms = coalesce(excluded.interval_ms, interval_ms),
       readings = readings + excluded.readings,
       quantity = CASE WHEN excluded.at_ms >= at_ms THEN excluded.quantity ELSE quantity END,
       value = CASE WHEN excluded.at_ms >= at_ms THEN excluded.value ELSE value END,
       at_ms = max(at_ms, excluded.at_ms)`,
  )
  return { noteHeard: (heard) => heard.forEach((note) => put.run(note)) }
}

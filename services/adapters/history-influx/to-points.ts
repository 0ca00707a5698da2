import { Point } from '@influxdata/influxdb-client'
import type { PlacedReading } from '../../core/model/ports/history.ts'

/** Stands where there is none: line protocol knows no empty tag, and a store may fix its tags at the first write. */
export const NO_TAG = 'none'

/**
 * A reading as a point: one measurement a quantity, always the same tags, one field that has no tag's name. Two monitors
 * may write to one store, since the site stands in every series.
 */
export function toPoint({ siteId, nodeId, sensorId, quantity, subject, roomId, ...r }: PlacedReading): Point {
  const of = (kind: string): string => (subject?.kind === kind ? subject.id : NO_TAG)
  return new Point(quantity)
    .tag('site', siteId)
    .tag('room', roomId ?? NO_TAG)
    .tag('machine', of('machine'))
    .tag('bottle', of('bottle'))
    .tag('node', nodeId)
    .tag('sensor', sensorId)
    .floatField('value', r.value)
    .timestamp(r.atMs)
}

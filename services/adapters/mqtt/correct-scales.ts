import type { Reading } from '../../core/model/input.ts'
import type { JudgedMessage } from '../../core/model/ports/ingest.ts'
import type { Rejection } from '../../core/model/rejection.ts'
import type { Arrival } from './arrival.ts'
import { checkedValue } from './judge-record.ts'
import type { MessageIndex } from './message-index.ts'
import { toRejection, toSample } from './reject.ts'

/** JM-5: the masses of scales that were calibrated on the page, in kg; what is then impossible is set aside. */
export function correctScales(
  judged: JudgedMessage,
  { topic, payload }: Arrival,
  corrections: MessageIndex['corrections'],
): JudgedMessage {
  if (!judged.readings || corrections.size === 0) return judged
  const kept: Reading[] = []
  const refused: Rejection[] = []
  for (const reading of judged.readings.readings) {
    const correction = reading.quantity === 'mass' ? corrections.get(reading.sensorId) : undefined
    if (!correction) {
      kept.push(reading)
      continue
    }
    const value = reading.value * correction.scale + correction.offset
    const checked = checkedValue(`${reading.sensorId}, corrected,`, 'mass', value)
    if ('value' in checked) kept.push({ ...reading, value: checked.value })
    else refused.push(toRejection(topic, checked.code, checked.reason, toSample(payload)))
  }
  return {
    ...judged,
    readings: kept.length === 0 && !judged.readings.pack ? null : { ...judged.readings, readings: kept },
    rejections: [...judged.rejections, ...refused],
  }
}

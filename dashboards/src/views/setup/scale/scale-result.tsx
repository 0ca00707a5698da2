import { useState } from 'preact/hooks'
import type { Bottle, SensorBinding } from '../../../../../services/core/model/settings.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { calibrationWhy, withCalibration, type Calibrated } from '../../../models/scale-walk.ts'

/** What the weighings come to, what looks wrong, and the button that keeps it. */
export function ScaleResult({
  app,
  bottle,
  sensor,
  weightKg,
  found: { calibration, warnings },
}: {
  app: AppModel
  bottle: Bottle
  sensor: SensorBinding
  weightKg: number
  found: Calibrated
}) {
  const [isSaved, setSaved] = useState(false)
  const save = async (): Promise<void> => {
    if (!calibration) return
    app.settings.discard()
    app.settings.change((s) => withCalibration(s, { bottleId: bottle.id, sensorId: sensor.id, calibration }))
    if (await app.settings.save(calibrationWhy(weightKg, calibration))) setSaved(true)
  }
  if (isSaved) return <p class="scale-todo">Kept. From now on the bottle is weighed so.</p>
  return (
    <>
      {calibration && (
        <dl class="scale-result">
          <dt>Empty bottle</dt>
          <dd>{`${calibration.tareKg.toFixed(3)}\u00A0kg`}</dd>
          <dt>Up to its full line</dt>
          <dd>{`${calibration.capacityMl ?? bottle.capacityMl}\u00A0mL`}</dd>
          <dt>What is sent, times</dt>
          <dd>{Number(calibration.scale.toPrecision(5))}</dd>
        </dl>
      )}
      {warnings.length > 0 && (
        <ul class="scale-warnings">
          {warnings.map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      )}
      {calibration && (
        <p class="buttons">
          <button type="button" class="do do-calm" onClick={() => void save()}>
            {warnings.length > 0 ? 'Keep it all the same' : 'Keep it'}
          </button>
        </p>
      )}
    </>
  )
}

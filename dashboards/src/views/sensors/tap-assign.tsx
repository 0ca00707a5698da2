import { useState } from 'preact/hooks'
import type { Settings } from '../../../../services/core/model/settings.ts'
import type { SensorsView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import {
  bindingFrom,
  bindingStart,
  keyOf,
  noChoiceWords,
  subjectChoices,
  type SubjectChoice,
} from '../../models/sensor-subjects.ts'
import { heardAgo } from '../../words/heard-ago.ts'
import { QUANTITY_WORDS, readingText } from '../../words/reading-text.ts'

/** A sensor with its live value, and its possible places as buttons: one tap says what it measures. */
export function TapAssign({
  app,
  sensor,
  settings,
}: {
  app: AppModel
  sensor: SensorsView['sensors'][number]
  settings: Settings
}) {
  const [busy, setBusy] = useState(false)
  const live = app.sensors.latest.value.get(sensor.id)
  const temperatureUnit = app.board.board.value?.site.temperatureUnit ?? 'degC'
  const choices = subjectChoices(sensor.quantity, settings)
  const assign = async (choice: SubjectChoice): Promise<void> => {
    setBusy(true)
    const { title, intervalS } = bindingStart(sensor.id, settings)
    await app.sensors.assign(bindingFrom(sensor, { subject: choice.subject, title, intervalS }, settings))
    await app.settings.load()
    setBusy(false)
  }
  return (
    <li class="sensor">
      <p class="list-title">
        {QUANTITY_WORDS[sensor.quantity]} <code class="aside">{sensor.id}</code>
      </p>
      <p class="evidence">
        {`${readingText({ ...sensor, lastValue: live?.value ?? sensor.lastValue }, temperatureUnit)}, ${heardAgo(live?.atMs ?? sensor.lastAtMs, app.clock.nowMs.value)}`}
      </p>
      {sensor.assignedTo ? (
        <p>{`Measures ${sensor.assignedTo.title}.`}</p>
      ) : choices.length === 0 ? (
        <p class="hint">{noChoiceWords(sensor.quantity)}</p>
      ) : (
        <p class="buttons">
          {choices.map((choice) => (
            <button
              key={keyOf(choice.subject)}
              type="button"
              class="plain strong"
              disabled={busy}
              onClick={() => void assign(choice)}
            >
              {PLACE_WORDS[choice.subject.kind]} {choice.title}
            </button>
          ))}
        </p>
      )}
    </li>
  )
}

const PLACE_WORDS: Readonly<Record<SubjectChoice['subject']['kind'], string>> = {
  room: 'It is in',
  machine: 'It is at',
  bottle: 'It weighs',
  site: 'It tells of the',
}

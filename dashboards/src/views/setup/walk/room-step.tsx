import { useState } from 'preact/hooks'
import { withRoom } from '../../../models/walk.ts'
import { Field } from '../../field.tsx'
import { saveStep } from '../../../models/save-step.ts'
import { StepForm, ThereAlready, type StepProps } from './step-parts.tsx'

export function RoomStep({ app, settings, goOn }: StepProps) {
  const [title, setTitle] = useState('')
  const [volume, setVolume] = useState('')
  const volumeM3 = volume === '' ? null : Number(volume)
  const send = (): void => void saveStep(app, (s) => withRoom(s, { title, volumeM3 }), goOn)
  return (
    <StepForm
      busy={app.settings.busy.value}
      send={send}
      skip={settings.rooms.length > 0 ? goOn : undefined}
      skipWord="No more rooms"
    >
      <p>The air of a room dries the ink of the machines that stand in it.</p>
      <ThereAlready titles={settings.rooms.map((r) => r.title)} />
      <div class="fields">
        <Field label="Name of the room" id="walk-room">
          <input
            id="walk-room"
            required
            maxLength={80}
            placeholder="Print floor"
            value={title}
            onInput={(event) => setTitle(event.currentTarget.value)}
          />
        </Field>
        <Field
          label="Its volume in m³, if you know it"
          id="walk-volume"
          hint="Length times width times height. With it Nightcap says how much water the air wants."
        >
          <input
            id="walk-volume"
            type="number"
            min={1}
            max={100_000}
            step="any"
            aria-describedby="walk-volume-hint"
            value={volume}
            onInput={(event) => setVolume(event.currentTarget.value)}
          />
        </Field>
      </div>
    </StepForm>
  )
}

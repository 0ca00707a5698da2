import { useState } from 'preact/hooks'
import type { Machine } from '../../../../../services/core/model/settings.ts'
import { withMachine } from '../../../models/walk.ts'
import { Field } from '../../field.tsx'
import { saveStep } from '../../../models/save-step.ts'
import { StepForm, ThereAlready, type StepProps } from './step-parts.tsx'

type Kind = Machine['selfCleaning']['kind']

export function MachineStep({ app, settings, goOn }: StepProps) {
  const [title, setTitle] = useState('')
  const [room, setRoom] = useState(settings.rooms[0]?.id ?? '')
  const [heads, setHeads] = useState(1)
  const [white, setWhite] = useState(false)
  const [kind, setKind] = useState<Kind>('unknown')
  const [hours, setHours] = useState(6)
  const selfCleaning: Machine['selfCleaning'] = kind === 'everyHours' ? { kind, hours } : { kind }
  const send = (): void =>
    void saveStep(app, (s) => withMachine(s, { title, room, heads, white, selfCleaning }), goOn)
  return (
    <StepForm
      busy={app.settings.busy.value}
      send={send}
      skip={settings.machines.length > 0 ? goOn : undefined}
      skipWord="No more machines"
    >
      <p>What you do not know can stay as it is; Nightcap then says what it cannot tell.</p>
      <ThereAlready titles={settings.machines.map((m) => m.title)} />
      <div class="fields">
        <Field label="What you call the machine" id="walk-machine">
          <input
            id="walk-machine"
            required
            maxLength={80}
            placeholder="Roll 60, left bench"
            value={title}
            onInput={(event) => setTitle(event.currentTarget.value)}
          />
        </Field>
        {settings.rooms.length > 1 && (
          <Field label="Stands in" id="walk-machine-room">
            <select
              id="walk-machine-room"
              value={room}
              onChange={(event) => setRoom(event.currentTarget.value)}
            >
              {settings.rooms.map((r) => (
                <option key={r.id} value={r.id}>
                  {r.title}
                </option>
              ))}
            </select>
          </Field>
        )}
        <Field label="Print heads" id="walk-heads">
          <input
            id="walk-heads"
            type="number"
            min={1}
            max={16}
            required
            value={heads}
            onInput={(event) => setHeads(event.currentTarget.valueAsNumber)}
          />
        </Field>
        <Field label="Inks in a head" id="walk-inks">
          <select
            id="walk-inks"
            value={white ? 'white' : 'colour'}
            onChange={(event) => setWhite(event.currentTarget.value === 'white')}
          >
            <option value="colour">Colours</option>
            <option value="white">Colours and white</option>
          </select>
        </Field>
        <Field
          label="Cleans itself while on"
          id="walk-cleaning"
          hint="The machine's manual or its menu says so."
        >
          <select
            id="walk-cleaning"
            aria-describedby="walk-cleaning-hint"
            value={kind}
            onChange={(event) => setKind(kindOf(event.currentTarget.value))}
          >
            <option value="unknown">I do not know</option>
            <option value="no">No</option>
            <option value="everyHours">Yes, every so many hours</option>
          </select>
        </Field>
        {kind === 'everyHours' && (
          <Field label="Every, in hours" id="walk-cleaning-hours">
            <input
              id="walk-cleaning-hours"
              type="number"
              min={0.1}
              max={336}
              step="any"
              required
              value={hours}
              onInput={(event) => setHours(event.currentTarget.valueAsNumber)}
            />
          </Field>
        )}
      </div>
    </StepForm>
  )
}

function kindOf(value: string): Kind {
  return value === 'no' || value === 'everyHours' ? value : 'unknown'
}

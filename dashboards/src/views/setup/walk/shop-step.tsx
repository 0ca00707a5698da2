import { useState } from 'preact/hooks'
import { hoursShown, isStepDone, withShop } from '../../../models/walk.ts'
import { Field } from '../../field.tsx'
import { saveStep } from '../../../models/save-step.ts'
import { StepForm, type StepProps } from './step-parts.tsx'

const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const
const ZONES = 'walk-zones'

export function ShopStep({ app, settings, goOn }: StepProps) {
  const { site } = settings
  const shown = hoursShown(settings)
  const deviceZone = new Intl.DateTimeFormat().resolvedOptions().timeZone
  const isNamed = isStepDone('shop', settings)
  const [title, setTitle] = useState(isNamed ? site.title : '')
  const [timeZone, setTimeZone] = useState(site.timeZone === 'UTC' ? deviceZone : site.timeZone)
  const [opens, setOpens] = useState(shown.opens)
  const [closes, setCloses] = useState(shown.closes)
  const [days, setDays] = useState(shown.days)
  const send = (): void =>
    void saveStep(app, (s) => withShop(s, { title, timeZone, opens, closes, days }), goOn)
  return (
    <StepForm busy={app.settings.busy.value} send={send} skip={isNamed ? goOn : undefined} skipWord="Go on">
      <p>Its name stands on every page. Outside its hours the stricter night limits hold.</p>
      <div class="fields">
        <Field label="Name of the shop" id="walk-title">
          <input
            id="walk-title"
            required
            maxLength={80}
            value={title}
            onInput={(event) => setTitle(event.currentTarget.value)}
          />
        </Field>
        <Field label="Time zone" id="walk-zone">
          <input
            id="walk-zone"
            required
            list={ZONES}
            value={timeZone}
            onInput={(event) => setTimeZone(event.currentTarget.value)}
          />
        </Field>
        <datalist id={ZONES}>
          {Intl.supportedValuesOf('timeZone').map((zone) => (
            <option key={zone} value={zone} />
          ))}
        </datalist>
        <Field label="Opens at" id="walk-opens">
          <input
            id="walk-opens"
            type="time"
            required
            value={opens}
            onInput={(event) => setOpens(event.currentTarget.value)}
          />
        </Field>
        <Field label="Closes at" id="walk-closes">
          <input
            id="walk-closes"
            type="time"
            required
            value={closes}
            onInput={(event) => setCloses(event.currentTarget.value)}
          />
        </Field>
      </div>
      <fieldset class="checks walk-days">
        <legend>Open on</legend>
        {DAYS.map((day, at) => (
          <label key={day} class="choice">
            <input
              type="checkbox"
              checked={days.includes(at + 1)}
              onChange={(event) =>
                setDays(event.currentTarget.checked ? [...days, at + 1] : days.filter((d) => d !== at + 1))
              }
            />
            {day}
          </label>
        ))}
      </fieldset>
      <p class="hint">Other hours on some days, and holidays, can be set later under All settings.</p>
    </StepForm>
  )
}

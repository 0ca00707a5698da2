import type { Settings } from '../../../../services/core/model/settings.ts'
import {
  addOpening,
  faultAt,
  holidaysFrom,
  likeMonday,
  withItem,
  withoutItem,
  type Opening,
} from '../../models/settings-edits.ts'
import type { FormPart } from './form-parts.ts'

const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const

/** When the shop is open: outside these hours the stricter night limits hold. */
export function HoursForm(part: FormPart) {
  const { settings, readOnly, change } = part
  const setWeekly = (edit: (weekly: readonly Opening[]) => Opening[]): void =>
    change((s) => ({ ...s, hours: { ...s.hours, weekly: edit(s.hours.weekly) } }))
  return (
    <fieldset class="part">
      <legend>Opening hours</legend>
      <p class="hint">
        While the shop is closed, the stricter night limits hold. Without hours they hold all day.
      </p>
      <ul class="days">
        {DAYS.map((day, at) => (
          <Day key={day} {...part} day={day} weekday={at + 1} setWeekly={setWeekly} />
        ))}
      </ul>
      {!readOnly && settings.hours.weekly.some((o) => o.weekday === 1) && (
        <button type="button" class="plain strong" onClick={() => setWeekly(likeMonday)}>
          Monday's hours until Friday
        </button>
      )}
      <Holidays {...part} />
    </fieldset>
  )
}

function Day({
  settings,
  errors,
  readOnly,
  day,
  weekday,
  setWeekly,
}: FormPart & {
  day: string
  weekday: number
  setWeekly: (edit: (weekly: readonly Opening[]) => Opening[]) => void
}) {
  const openings = settings.hours.weekly.flatMap((o, at) => (o.weekday === weekday ? [{ ...o, at }] : []))
  return (
    <li class="day">
      <span class="day-name">{day}</span>
      <div class="day-hours">
        {openings.length === 0 && <span class="aside">closed</span>}
        {openings.map(({ opens, closes, at }) => (
          <div key={at} class="opening">
            {(['opens', 'closes'] as const).map((end) => (
              <input
                key={end}
                type="time"
                aria-label={`${day}, ${end}`}
                required
                readOnly={readOnly}
                value={end === 'opens' ? opens : closes}
                onInput={(event) => {
                  const time = event.currentTarget.value
                  setWeekly((weekly) => withItem(weekly, at, { [end]: time }))
                }}
              />
            ))}
            {!readOnly && (
              <button
                type="button"
                class="plain"
                onClick={() => setWeekly((weekly) => withoutItem(weekly, at))}
              >
                Remove<span class="only-read">{` ${day} ${opens} to ${closes}`}</span>
              </button>
            )}
            <FaultLines
              errors={errors}
              pointers={[`/hours/weekly/${at}`, `/hours/weekly/${at}/opens`, `/hours/weekly/${at}/closes`]}
            />
          </div>
        ))}
        {!readOnly && openings.length < 3 && (
          <button
            type="button"
            class="plain"
            onClick={() => setWeekly((weekly) => addOpening(weekly, weekday))}
          >
            {openings.length === 0 ? 'Add hours' : 'Add more'}
            <span class="only-read">{` on ${day}`}</span>
          </button>
        )}
      </div>
    </li>
  )
}

function Holidays({ settings, errors, readOnly, change }: FormPart) {
  const setHolidays = (holidays: Settings['hours']['holidays']): void =>
    change((s) => ({ ...s, hours: { ...s.hours, holidays } }))
  return (
    <div class="field">
      <label for="holidays">Closed on these dates, one a line, as 2027-01-01</label>
      <textarea
        id="holidays"
        rows={3}
        readOnly={readOnly}
        defaultValue={settings.hours.holidays.join('\n')}
        onInput={(event) => setHolidays(holidaysFrom(event.currentTarget.value))}
      />
      <FaultLines
        errors={errors}
        pointers={settings.hours.holidays.map((_, at) => `/hours/holidays/${at}`)}
      />
    </div>
  )
}

function FaultLines({ errors, pointers }: Pick<FormPart, 'errors'> & { pointers: readonly string[] }) {
  const faults = pointers.map((pointer) => faultAt(errors, pointer)).filter((fault) => fault !== '')
  return (
    <>
      {faults.map((fault) => (
        <p class="fault">{fault}</p>
      ))}
    </>
  )
}

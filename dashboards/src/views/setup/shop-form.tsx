import type { Settings } from '../../../../services/core/model/settings.ts'
import type { FormPart } from './form-parts.ts'
import { SelectInput, TextInput } from './inputs.tsx'

const ZONE_LIST = 'time-zones'

/** The shop's name, its clock, and the units its people like. */
export function ShopForm({ settings, errors, readOnly, change }: FormPart) {
  const { site } = settings
  const field = { errors, readOnly }
  const set = (part: Partial<Settings['site']>): void =>
    change((s) => ({ ...s, site: { ...s.site, ...part } }))
  const deviceZone = new Intl.DateTimeFormat().resolvedOptions().timeZone
  return (
    <fieldset class="part">
      <legend>Shop</legend>
      <div class="fields">
        <TextInput
          {...field}
          label="Name"
          pointer="/site/title"
          value={site.title}
          set={(title) => set({ title })}
        />
        <div>
          <TextInput
            {...field}
            label="Time zone"
            pointer="/site/timeZone"
            hint="All hours and dates are meant in it."
            list={ZONE_LIST}
            value={site.timeZone}
            set={(timeZone) => set({ timeZone })}
          />
          {!readOnly && site.timeZone === 'UTC' && deviceZone !== 'UTC' && (
            <button type="button" class="plain strong" onClick={() => set({ timeZone: deviceZone })}>
              {`Use that of this device: ${deviceZone}`}
            </button>
          )}
        </div>
        <datalist id={ZONE_LIST}>
          {Intl.supportedValuesOf('timeZone').map((zone) => (
            <option key={zone} value={zone} />
          ))}
        </datalist>
        <SelectInput
          {...field}
          label="Temperatures in"
          pointer="/site/temperatureUnit"
          value={site.temperatureUnit}
          options={[
            { value: 'degC', label: '°C' },
            { value: 'degF', label: '°F' },
          ]}
          set={(unit) => set({ temperatureUnit: unit === 'degF' ? 'degF' : 'degC' })}
        />
        <SelectInput
          {...field}
          label="Volumes in"
          pointer="/site/volumeUnit"
          value={site.volumeUnit}
          options={[
            { value: 'mL', label: 'mL' },
            { value: 'fl oz', label: 'fl oz' },
          ]}
          set={(unit) => set({ volumeUnit: unit === 'fl oz' ? 'fl oz' : 'mL' })}
        />
      </div>
    </fieldset>
  )
}

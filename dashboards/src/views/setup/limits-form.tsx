import type { Limits } from '../../../../services/core/model/settings.ts'
import type { FormPart } from './form-parts.ts'
import { NumberInput } from './inputs.tsx'

const MINUTE_MS = 60_000

interface Row {
  readonly label: string
  readonly pointer: string
  readonly read: (limits: Limits) => number
  readonly write: (limits: Limits, value: number) => Limits
}

const toMs = (minutes: number): number => Math.round(minutes * MINUTE_MS)
const toMinutes = (ms: number): number => ms / MINUTE_MS

/** Every limit as a row: where it stands, how it is read and written. Delays are kept in ms and asked in minutes. */
const GROUPS: readonly { readonly title: string; readonly rows: readonly Row[] }[] = [
  {
    title: 'Dry air',
    rows: [
      {
        label: 'Too dry below, in %RH',
        pointer: '/limits/airDryPct/openBelow',
        read: (l) => l.airDryPct.openBelow,
        write: (l, openBelow) => ({ ...l, airDryPct: { ...l.airDryPct, openBelow } }),
      },
      {
        label: 'Well again above, in %RH',
        pointer: '/limits/airDryPct/closeAbove',
        read: (l) => l.airDryPct.closeAbove,
        write: (l, closeAbove) => ({ ...l, airDryPct: { ...l.airDryPct, closeAbove } }),
      },
      {
        label: 'Told after, in min',
        pointer: '/limits/airDryPct/onDelayMs',
        read: (l) => toMinutes(l.airDryPct.onDelayMs),
        write: (l, min) => ({ ...l, airDryPct: { ...l.airDryPct, onDelayMs: toMs(min) } }),
      },
    ],
  },
  {
    title: 'Bottle nearly full',
    rows: [
      {
        label: 'Mark, in %',
        pointer: '/limits/bottleNearPct/openAbove',
        read: (l) => l.bottleNearPct.openAbove,
        write: (l, openAbove) => ({ ...l, bottleNearPct: { ...l.bottleNearPct, openAbove } }),
      },
      {
        label: 'Well again below, in %',
        pointer: '/limits/bottleNearPct/closeBelow',
        read: (l) => l.bottleNearPct.closeBelow,
        write: (l, closeBelow) => ({ ...l, bottleNearPct: { ...l.bottleNearPct, closeBelow } }),
      },
    ],
  },
  {
    title: 'Machine off',
    rows: [
      {
        label: 'While closed, told after, in min',
        pointer: '/limits/powerOff/closedMs',
        read: (l) => toMinutes(l.powerOff.closedMs),
        write: (l, min) => ({ ...l, powerOff: { ...l.powerOff, closedMs: toMs(min) } }),
      },
      {
        label: 'While open, told after, in min',
        pointer: '/limits/powerOff/openMs',
        read: (l) => toMinutes(l.powerOff.openMs),
        write: (l, min) => ({ ...l, powerOff: { ...l.powerOff, openMs: toMs(min) } }),
      },
    ],
  },
  {
    title: 'Sensor silent',
    rows: [
      {
        label: 'After this many missed readings',
        pointer: '/limits/silent/intervals',
        read: (l) => l.silent.intervals,
        write: (l, intervals) => ({ ...l, silent: { ...l.silent, intervals } }),
      },
      {
        label: 'But not before, in min',
        pointer: '/limits/silent/atLeastMs',
        read: (l) => toMinutes(l.silent.atLeastMs),
        write: (l, min) => ({ ...l, silent: { ...l.silent, atLeastMs: toMs(min) } }),
      },
    ],
  },
]

export function LimitsForm({ settings, errors, readOnly, change }: FormPart) {
  return (
    <fieldset class="part">
      <legend>Limits</legend>
      <p class="hint">
        Starting values of common practice, yours to change. The manual of the machine goes first.{' '}
        <a href="#/rerun">Try another limit on the past</a>
      </p>
      {GROUPS.map(({ title, rows }) => (
        <fieldset key={title} class="limit-group">
          <legend>{title}</legend>
          <div class="fields">
            {rows.map(({ label, pointer, read, write }) => (
              <NumberInput
                key={pointer}
                label={label}
                pointer={pointer}
                errors={errors}
                readOnly={readOnly}
                value={read(settings.limits)}
                set={(value) => change((s) => ({ ...s, limits: write(s.limits, value) }))}
              />
            ))}
          </div>
        </fieldset>
      ))}
    </fieldset>
  )
}

import { useState } from 'preact/hooks'
import type { LimitChoice, RerunGrain } from '../../../../services/core/model/rerun.ts'
import type { AppModel } from '../../models/app-model.ts'
import { fromUnit, inUnit, unitWord, valueText } from '../../words/rerun-words.ts'
import { Field } from '../field.tsx'

const DAY_MS = 86_400_000
const PERIODS = [
  { days: 30, words: 'The last 30 days' },
  { days: 91, words: 'The last three months' },
  { days: 182, words: 'The last half year' },
  { days: 365, words: 'The last year' },
  { days: 1095, words: 'The last three years' },
] as const

interface FormProps {
  readonly app: AppModel
  readonly choices: readonly LimitChoice[]
  readonly limit: string | null
  readonly value: number | null
}

/** What is tried, over which past, how closely. */
export function RerunForm({ app, choices, limit: asked, value }: FormProps) {
  const proposed = choices.find((c) => c.limit === asked)
  const [limit, setLimit] = useState((proposed ?? choices[0])?.limit ?? '')
  const choice = choices.find((c) => c.limit === limit) ?? choices[0]
  // A value belongs to the limit that it was proposed for, and to no other.
  const [typed, setTyped] = useState(value !== null && proposed ? String(inUnit(value, proposed)) : '')
  const [days, setDays] = useState<number>(PERIODS[1].days)
  const [grain, setGrain] = useState<RerunGrain>('readings')
  const [fault, setFault] = useState('')
  if (!choice) return null
  const isRunning = app.rerun.rerun.value?.state === 'running'

  const start = (event: Event): void => {
    event.preventDefault()
    const number = Number(typed.replace(',', '.'))
    if (typed.trim() === '' || !Number.isFinite(number)) return setFault('Write the value to try as a number')
    setFault('')
    const toMs = Math.floor(app.clock.nowMs.peek())
    const order = {
      limit: choice.limit,
      value: fromUnit(number, choice),
      fromMs: toMs - days * DAY_MS,
      toMs,
      grain,
    }
    void app.rerun.start(order)
  }
  return (
    <form class="rerun-form" onSubmit={start} noValidate>
      <div class="fields">
        <Field
          label="What to change"
          id="rerun-limit"
          hint={`Today: ${valueText(choice.todayValue, choice)}`}
        >
          <select
            id="rerun-limit"
            aria-describedby="rerun-limit-hint"
            value={choice.limit}
            onChange={(e) => {
              setLimit(e.currentTarget.value)
              setTyped('')
            }}
          >
            {groupsOf(choices).map(([group, own]) => (
              <optgroup key={group} label={group}>
                {own.map((c) => (
                  <option key={c.limit} value={c.limit}>
                    {`${c.group}: ${c.title.toLowerCase()}`}
                  </option>
                ))}
              </optgroup>
            ))}
          </select>
        </Field>
        <Field label={`Value to try, in ${unitWord(choice)}`} id="rerun-value" fault={fault}>
          <input
            id="rerun-value"
            inputMode="decimal"
            autocomplete="off"
            aria-invalid={fault !== ''}
            aria-describedby={fault === '' ? undefined : 'rerun-value-fault'}
            value={typed}
            onInput={(e) => setTyped(e.currentTarget.value)}
          />
        </Field>
        <Field label="Past" id="rerun-period">
          <select id="rerun-period" value={days} onChange={(e) => setDays(Number(e.currentTarget.value))}>
            {PERIODS.map((p) => (
              <option key={p.days} value={p.days}>
                {p.words}
              </option>
            ))}
          </select>
        </Field>
        <Field label="Read" id="rerun-grain">
          <select
            id="rerun-grain"
            value={grain}
            onChange={(e) => setGrain(e.currentTarget.value === 'minutes' ? 'minutes' : 'readings')}
          >
            <option value="readings">Every reading</option>
            <option value="minutes">One a minute: sooner done, less exact</option>
          </select>
        </Field>
      </div>
      <button type="submit" class="do" disabled={isRunning}>
        {isRunning ? 'A re-run is under way' : 'Start the re-run'}
      </button>
    </form>
  )
}

function groupsOf(choices: readonly LimitChoice[]): readonly [string, readonly LimitChoice[]][] {
  const groups = new Map<string, LimitChoice[]>()
  for (const choice of choices) groups.set(choice.group, [...(groups.get(choice.group) ?? []), choice])
  return [...groups]
}

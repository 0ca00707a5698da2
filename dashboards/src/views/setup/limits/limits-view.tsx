import { useEffect, useState } from 'preact/hooks'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import { failureSentence } from '../../../api/answer.ts'
import { createSetupApi, type LimitView } from '../../../api/setup-api.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { limitOf, limitPointer, rerunHash, withLimit } from '../../../models/limits.ts'
import { originWords } from '../../../words/change-words.ts'
import { Trouble, Waiting } from '../../states.tsx'
import type { FormPart } from '../form-parts.ts'
import { NumberInput } from '../inputs.tsx'
import { SettingsForm } from '../settings-form.tsx'

/** Every limit with its meaning, where its value comes from, and a way to try another one on the past. */
export function LimitsView({ app }: { app: AppModel }) {
  const [limits, setLimits] = useState<readonly LimitView[] | null>(null)
  const [trouble, setTrouble] = useState('')
  const saved = app.settings.saved.value
  const load = async (): Promise<void> => {
    const answer = await createSetupApi(app).limits()
    if (answer.ok) setLimits(answer.value.limits)
    setTrouble(answer.ok ? '' : failureSentence(answer.failure))
  }
  useEffect(() => void load(), [saved])
  if (trouble !== '') return <Trouble text={trouble} retry={() => void load()} />
  if (!limits) return <Waiting />
  const groups = [...new Set(limits.map(({ group }) => group))]
  return (
    <SettingsForm app={app} asksWhy>
      {(part) => (
        <>
          <p class="hint">
            What is a starting value is ours: common practice, no source, yours to change. The manual of the
            machine goes first.
          </p>
          {groups.map((title, at) => (
            <details key={title} class="limit-part" open={at === 0}>
              <summary>{title}</summary>
              {limits
                .filter(({ group }) => group === title)
                .map((limit) => (
                  <LimitRow key={limit.path} app={app} limit={limit} part={part} />
                ))}
            </details>
          ))}
        </>
      )}
    </SettingsForm>
  )
}

function LimitRow({ app, limit, part }: { app: AppModel; limit: LimitView; part: FormPart }) {
  const { settings, errors, readOnly, change } = part
  const { path, label, meaning, unit, factor } = limit
  const value = limitOf(settings, path) ?? limit.value
  const set = (shown: number): void => change((s: Settings) => withLimit(s, path, shown * factor))
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  const now = { timeZone, nowMs: app.clock.quarterMinuteMs.value }
  return (
    <div class="limit">
      <NumberInput
        label={unit === '' ? label : `${label}, in ${unit}`}
        pointer={limitPointer(path)}
        errors={errors}
        readOnly={readOnly}
        value={Number((value / factor).toPrecision(7))}
        set={set}
      />
      <div class="limit-words">
        <p>{meaning}</p>
        <p class="evidence">{originWords(limit, now)}</p>
        {limit.isTriable && (
          <p>
            <a href={rerunHash(path, value)}>
              Try it on the past<span class="only-read">{`: ${limit.group}, ${label}`}</span>
            </a>
          </p>
        )}
      </div>
    </div>
  )
}

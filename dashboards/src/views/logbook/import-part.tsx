import { useId, useState } from 'preact/hooks'
import type { LogKind } from '../../../../services/core/model/log-entry.ts'
import type { BadLine, ImportFile, ImportPlan } from '../../api/log-api.ts'
import { dateOf } from '../../words/disposal-words.ts'
import { entryTitle, KIND_WORDS, logTimeOf } from '../../words/log-words.ts'
import { clockTime } from '../../words/shop-time.ts'
import type { ShownLog } from './shown-log.ts'
import { Choose } from './when.tsx'

const MOST_BYTES = 5_000_000
const KINDS: readonly (readonly [LogKind, string])[] = [
  ['nozzleCheck', KIND_WORDS.nozzleCheck],
  ['care', KIND_WORDS.care],
  ['note', KIND_WORDS.note],
  ['headChange', KIND_WORDS.headChange],
]
const COLUMNS: Readonly<Record<LogKind, string>> = {
  nozzleCheck: 'checked_at, machine, channel_group, missing_nozzles, reason, note',
  care: 'done_at, machine, care, channel_groups, helped_said, note',
  note: 'noted_at, about, subject, text',
  headChange: 'changed_at, machine, head, note',
}

/** A file is looked at first, and taken when a person says so. */
export function ImportPart(shown: ShownLog) {
  const { app } = shown
  const [kind, setKind] = useState<LogKind>('nozzleCheck')
  const [file, setFile] = useState<ImportFile | null>(null)
  const [plan, setPlan] = useState<ImportPlan | null>(null)
  const [said, setSaid] = useState('')
  const id = useId()
  const choose = async (chosen: File | undefined): Promise<void> => {
    setPlan(null)
    setSaid('')
    if (!chosen) return
    if (chosen.size > MOST_BYTES) return setSaid('This file is larger than 5 MB. Cut it into several.')
    const next = { kind, text: await chosen.text() }
    setFile(next)
    setPlan(await app.log.preview(next))
  }
  const bring = async (): Promise<void> => {
    const done = file && (await app.log.bring(file))
    if (!done) return
    setPlan(null)
    setSaid(`${count(done.fresh, 'entry', 'entries')} added. The same file again adds nothing.`)
    document.getElementById('logbook-title')?.focus()
  }
  return (
    <>
      <p class="hint">
        A table (CSV) whose first line names its columns. It is looked at first; nothing is added before you
        say so. What it brings is of the past: it calls nobody and changes no task.
      </p>
      <div class="confirm entry-form">
        <Choose
          label="What is in it"
          value={kind}
          set={(next) => {
            setKind(next)
            setPlan(null)
            setSaid('')
          }}
          choices={KINDS}
        />
        <p class="hint">{`Columns: ${COLUMNS[kind]}. Times as 2026-03-14 07:30, on the shop's clock.`}</p>
        <label for={id}>File</label>
        <input
          id={id}
          key={kind}
          type="file"
          accept=".csv,text/csv"
          onChange={(event) => void choose(event.currentTarget.files?.[0])}
        />
      </div>
      <p class="announcement" role="status" aria-live="polite">
        {said || (plan ? planWords(plan) : '')}
      </p>
      {plan && <Plan {...shown} plan={plan} bring={() => void bring()} />}
    </>
  )
}

function planWords({ fresh, known, conflicts, bad }: ImportPlan): string {
  const left = [
    `${count(fresh, 'entry is', 'entries are')} new`,
    `${known} known already`,
    ...(conflicts > 0 ? [`${conflicts} stand here otherwise and stay as they are`] : []),
    ...(bad > 0 ? [`${count(bad, 'line', 'lines')} cannot be taken`] : []),
  ]
  return `${left.join(', ')}.`
}

function Plan({ plan, bring, ...shown }: ShownLog & { plan: ImportPlan; bring: () => void }) {
  const { feed, unit, timeZone } = shown
  return (
    <>
      {plan.ignored.length > 0 && (
        <p class="hint">{`Columns that are not read: ${plan.ignored.join(', ')}.`}</p>
      )}
      <Lines title="Lines that cannot be taken" lines={plan.badLines} all={plan.bad} />
      <Lines title="Known otherwise" lines={plan.conflictLines} all={plan.conflicts} />
      {plan.sample.length > 0 && (
        <section aria-labelledby="import-sample">
          <h2 id="import-sample">New, the first of them</h2>
          <ul class="list">
            {plan.sample.map((entry, at) => {
              const row = { ...entry, act: { actorId: '', via: 'screen' as const, atMs: 0 } }
              const atMs = logTimeOf(row)
              return (
                <li key={at}>
                  <p class="list-title">{entryTitle(row, { places: feed, unit })}</p>
                  <p class="evidence">{`${dateOf(atMs, timeZone)} ${clockTime(atMs, timeZone)}`}</p>
                </li>
              )
            })}
          </ul>
        </section>
      )}
      {plan.fresh > 0 && (
        <button type="button" class="do do-calm" onClick={bring}>
          {`Add ${count(plan.fresh, 'entry', 'entries')}${plan.bad > 0 ? ', and leave out what cannot be taken' : ''}`}
        </button>
      )}
    </>
  )
}

function Lines({ title, lines, all }: { title: string; lines: readonly BadLine[]; all: number }) {
  if (all === 0) return null
  return (
    <section class="import-lines">
      <div class="wide-table" role="region" aria-label={title} tabIndex={0}>
        <table>
          <caption>{title}</caption>
          <thead>
            <tr>
              <th scope="col">Line</th>
              <th scope="col">Column</th>
              <th scope="col">What, and the cure</th>
            </tr>
          </thead>
          <tbody>
            {lines.map(({ line, field, reason }) => (
              <tr key={`${line} ${field}`}>
                <td>{line}</td>
                <td>{field}</td>
                <td>{reason}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {all > lines.length && <p class="hint">{`And ${all - lines.length} more.`}</p>}
    </section>
  )
}

function count(n: number, one: string, many: string): string {
  return `${n} ${n === 1 ? one : many}`
}

import { useState } from 'preact/hooks'
import type { MorningView } from '../../../../services/core/model/morning.ts'
import type { AppModel } from '../../models/app-model.ts'
import type { CheckReason } from '../../api/shop-api.ts'

export type CheckedMachine = MorningView['machines'][number]

const REASON_WORDS: Readonly<Record<CheckReason, string>> = {
  routine: 'As every day',
  suspicion: 'Something looked wrong',
  afterCleaning: 'After a cleaning',
  baseline: 'To know how it is now',
}
const REASONS = Object.keys(REASON_WORDS) as CheckReason[]

/** Three taps: the machine, "all there", done. */
export function MorningCheck({ app, machines }: { app: AppModel; machines: readonly CheckedMachine[] }) {
  const [chosen, setChosen] = useState<CheckedMachine | null>(null)
  const [said, setSaid] = useState('')
  return (
    <section aria-labelledby="morning-check">
      <h2 id="morning-check">Nozzle check</h2>
      <p class="evidence">
        Print the test pattern of each machine before the first job, and say what it shows.
      </p>
      <ul class="check-machines">
        {machines.map((machine) => (
          <li key={machine.id}>
            <button
              type="button"
              class="plain"
              aria-pressed={chosen?.id === machine.id}
              onClick={() => {
                setSaid('')
                setChosen(machine)
              }}
            >
              {machine.title}
            </button>
          </li>
        ))}
      </ul>
      {chosen && (
        <CheckForm
          key={chosen.id}
          app={app}
          machine={chosen}
          reason="routine"
          done={(text) => {
            setSaid(text)
            setChosen(null)
          }}
        />
      )}
      <p class="said" role="status" aria-live="polite">
        {said}
      </p>
    </section>
  )
}

interface CheckFormProps {
  readonly app: AppModel
  readonly machine: CheckedMachine
  /** Chosen beforehand; null: the person must say, since a wrong one would mislead the hunt for causes. */
  readonly reason: CheckReason | null
  readonly done: (said: string) => void
}

/** What one machine's pattern shows. */
export function CheckForm({ app, machine, reason: given, done }: CheckFormProps) {
  const [isAllThere, setAllThere] = useState(false)
  const [counts, setCounts] = useState<Readonly<Record<string, string>>>({})
  const [reason, setReason] = useState<CheckReason | null>(given)
  const [trouble, setTrouble] = useState('')
  const [isSending, setSending] = useState(false)
  const missing = missingOf(counts)
  const isSaid = isAllThere || missing.length > 0
  const send = async (): Promise<void> => {
    if (!reason) return setTrouble('Say why it was checked, then press Done.')
    if (!isSaid) return setTrouble('Say that all are there, or how many are missing, then press Done.')
    setSending(true)
    const wrong = await app.morning.logCheck({ machineId: machine.id, reason, missing })
    setSending(false)
    if (wrong === '') done(saidOf(machine, missing))
    else setTrouble(wrong)
  }
  return (
    <form
      class="check"
      aria-label={`Nozzle check of ${machine.title}`}
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        void send()
      }}
    >
      <button
        type="button"
        class="plain check-all"
        aria-pressed={isAllThere}
        onClick={() => {
          setAllThere(true)
          setCounts({})
        }}
      >
        All there
      </button>
      <fieldset>
        <legend>Or how many are missing</legend>
        {machine.groups.map(({ id, title }) => (
          <label key={id} class="check-count">
            {title}
            <input
              type="text"
              inputMode="numeric"
              pattern="[0-9]*"
              maxLength={5}
              value={counts[id] ?? ''}
              onInput={({ currentTarget }) => {
                const digits = currentTarget.value.replace(/\D/g, '')
                currentTarget.value = digits
                setAllThere(false)
                setCounts((known) => ({ ...known, [id]: digits }))
              }}
            />
          </label>
        ))}
      </fieldset>
      <fieldset>
        <legend>Why it was checked</legend>
        {REASONS.map((choice) => (
          <label key={choice} class="check-reason">
            <input
              type="radio"
              name={`why-${machine.id}`}
              checked={reason === choice}
              onChange={() => setReason(choice)}
            />
            {REASON_WORDS[choice]}
          </label>
        ))}
      </fieldset>
      {trouble && (
        <p class="said said-trouble" role="alert">
          {trouble}
        </p>
      )}
      <button type="submit" class="do" disabled={isSending}>
        Done
      </button>
    </form>
  )
}

function missingOf(counts: Readonly<Record<string, string>>) {
  return Object.entries(counts)
    .map(([channelGroupId, digits]) => ({ channelGroupId, missingNozzles: Number(digits) }))
    .filter(({ missingNozzles }) => missingNozzles > 0)
}

function saidOf({ title, groups }: CheckedMachine, missing: ReturnType<typeof missingOf>): string {
  if (missing.length === 0) return `Noted: ${title}, all nozzles there.`
  const list = missing.map(
    (m) => `${groups.find((g) => g.id === m.channelGroupId)?.title ?? m.channelGroupId} ${m.missingNozzles}`,
  )
  return `Noted: ${title}, missing: ${list.join(', ')}.`
}

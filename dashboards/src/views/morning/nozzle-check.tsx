import { useState } from 'preact/hooks'
import type { MorningView } from '../../../../services/core/model/morning.ts'
import type { AppModel } from '../../models/app-model.ts'
import { REASON_WORDS, REASONS, type CheckReason } from '../../words/log-words.ts'
import { GroupCounts, missingOf, type FoundById } from './group-counts.tsx'

export type CheckedMachine = MorningView['machines'][number]

/** In the morning, before the first job. */
export function MorningCheck({ app, machines }: { app: AppModel; machines: readonly CheckedMachine[] }) {
  return (
    <section aria-labelledby="morning-check">
      <h2 id="morning-check">Nozzle check</h2>
      <p class="evidence">
        Print the test pattern of each machine before the first job, and say what it shows.
      </p>
      <NozzleCheck app={app} machines={machines} reason="routine" logged={() => undefined} />
    </section>
  )
}

interface NozzleCheckProps {
  readonly app: AppModel
  readonly machines: readonly CheckedMachine[]
  /** Chosen beforehand, or null. */
  readonly reason: CheckReason | null
  readonly logged: () => void
}

/** Three taps: the machine, "all there", done. */
export function NozzleCheck({ app, machines, reason, logged }: NozzleCheckProps) {
  const [chosen, setChosen] = useState<CheckedMachine | null>(null)
  const [said, setSaid] = useState('')
  return (
    <>
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
          reason={reason}
          done={(text) => {
            setSaid(text)
            setChosen(null)
            logged()
          }}
        />
      )}
      <p class="said" role="status" aria-live="polite">
        {said}
      </p>
    </>
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
  const [found, setFound] = useState<FoundById>({})
  const [reason, setReason] = useState<CheckReason | null>(given)
  const [trouble, setTrouble] = useState('')
  const [isSending, setSending] = useState(false)
  const missing = missingOf(found)
  const isSaid = isAllThere || missing.length > 0
  const send = async (): Promise<void> => {
    if (!reason) return setTrouble('Say why it was checked, then press Done.')
    if (!isSaid) return setTrouble('Say that all are there, or how many are missing, then press Done.')
    setSending(true)
    const wrong = await app.morning.logCheck({
      machineId: machine.id,
      reason,
      missing,
      checkedMs: minuteNow(app),
    })
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
          setFound({})
        }}
      >
        All there
      </button>
      <fieldset>
        <legend>Or how many are missing</legend>
        <GroupCounts
          groups={machine.groups}
          found={found}
          change={(id, next) => {
            setAllThere(false)
            setFound((known) => ({ ...known, [id]: next }))
          }}
        />
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

/** To the minute: told twice in one, it is one. It may wait on the device, so it says when it was. */
function minuteNow(app: AppModel): number {
  const nowMs = app.clock.nowMs.peek()
  return Math.round(nowMs - (nowMs % 60_000))
}

function saidOf({ title, groups }: CheckedMachine, missing: ReturnType<typeof missingOf>): string {
  if (missing.length === 0) return `Noted: ${title}, all nozzles there.`
  const list = missing.map(
    (m) => `${groups.find((g) => g.id === m.channelGroupId)?.title ?? m.channelGroupId} ${m.missingNozzles}`,
  )
  return `Noted: ${title}, missing: ${list.join(', ')}.`
}

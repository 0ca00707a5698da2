import { useState } from 'preact/hooks'
import { REASON_WORDS, REASONS, type CheckReason } from '../../words/log-words.ts'
import { foundOf, GroupCounts, missingOf } from '../morning/group-counts.tsx'
import { firstMachine, type FieldsProps } from './shown-log.ts'
import { Choose, EntryForm, TextField, WhenField } from './when.tsx'

const REASON_CHOICES = REASONS.map((r) => [r, REASON_WORDS[r]] as const)

/** All of a nozzle check, to correct it. */
export function CheckFields({ app, feed, row, when, send }: FieldsProps) {
  const said = row?.kind === 'nozzleCheck' ? row : null
  const [machineId, setMachineId] = useState(said?.machineId ?? firstMachine({ app, feed }))
  const [found, setFound] = useState(foundOf(said?.missing ?? []))
  const [reason, setReason] = useState<CheckReason>(said?.reason ?? 'suspicion')
  const [note, setNote] = useState(said?.note ?? '')
  const groups = feed.machines.find((m) => m.id === machineId)?.heads.flatMap((h) => h.channelGroups) ?? []
  const sendIt = (): void =>
    send({
      kind: 'nozzleCheck',
      said: { machineId, checkedMs: when.saidMs() ?? when.nowMs(), reason, missing: missingOf(found), note },
    })
  return (
    <EntryForm isNew={!said} send={sendIt}>
      <Choose
        label="Machine"
        value={machineId}
        set={(id) => {
          setMachineId(id)
          setFound({})
        }}
        choices={feed.machines.map((m) => [m.id, m.title])}
      />
      <fieldset class="check">
        <legend>How many are missing; empty is none</legend>
        <GroupCounts
          groups={groups}
          found={found}
          change={(id, next) => setFound((known) => ({ ...known, [id]: next }))}
        />
      </fieldset>
      <Choose label="Why it was checked" value={reason} set={setReason} choices={REASON_CHOICES} />
      <WhenField when={when} isNew={!said} />
      <TextField label="A note, if there is something to remember" value={note} set={setNote} most={500} />
    </EntryForm>
  )
}

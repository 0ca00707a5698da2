import { useState } from 'preact/hooks'
import { firstMachine, type FieldsProps } from './shown-log.ts'
import { Choose, EntryForm, TextField, WhenField } from './when.tsx'

/** A head was changed: its past is the past of the old one. */
export function HeadFields({ app, feed, row, when, send }: FieldsProps) {
  const said = row?.kind === 'headChange' ? row : null
  const [machineId, setMachineId] = useState(said?.machineId ?? firstMachine({ app, feed }))
  const [headId, setHeadId] = useState(said?.headId ?? '')
  const [note, setNote] = useState(said?.note ?? '')
  const heads = feed.machines.find((m) => m.id === machineId)?.heads ?? []
  const chosen = heads.some((h) => h.id === headId) ? headId : (heads[0]?.id ?? '')
  const sendIt = (): void =>
    send({
      kind: 'headChange',
      said: { machineId, headId: chosen, changedMs: when.saidMs() ?? when.nowMs(), note },
    })
  return (
    <EntryForm isNew={!said} send={sendIt}>
      <Choose
        label="Machine"
        value={machineId}
        set={setMachineId}
        choices={feed.machines.map((m) => [m.id, m.title])}
      />
      <Choose
        label="Which head is new"
        value={chosen}
        set={setHeadId}
        choices={heads.map((h) => [h.id, h.title])}
      />
      <WhenField
        when={when}
        isNew={!said}
        {...(said ? {} : { hint: 'Said within half an hour, its ink counts as fresh.' })}
      />
      <TextField
        label="A note: where it came from, why it was changed"
        value={note}
        set={setNote}
        most={500}
      />
    </EntryForm>
  )
}

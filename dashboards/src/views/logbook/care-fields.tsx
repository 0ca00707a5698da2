import { useState } from 'preact/hooks'
import type { LoggedCare } from '../../../../services/core/model/log-entry.ts'
import { CARE_WORDS } from '../../words/log-words.ts'
import { firstMachine, type FieldsProps } from './shown-log.ts'
import { Choose, EntryForm, TextField, WhenField } from './when.tsx'

const CARES = Object.entries(CARE_WORDS) as [LoggedCare, string][]
const HELPED = [
  ['', 'Leave it to the nozzle checks before and after'],
  ['yes', 'It helped'],
  ['no', 'It did not help'],
] as const

/** A cleaning, or white that was stirred; of all of the machine or of some channel groups. */
export function CareFields({ app, feed, row, when, send }: FieldsProps) {
  const said = row?.kind === 'care' ? row : null
  const [machineId, setMachineId] = useState(said?.machineId ?? firstMachine({ app, feed }))
  const [care, setCare] = useState<LoggedCare>(said?.care ?? 'cleaned')
  const [groupIds, setGroupIds] = useState<readonly string[]>(said?.channelGroupIds ?? [])
  const [helped, setHelped] = useState<'' | 'yes' | 'no'>(said?.helpedSaid ?? '')
  const [note, setNote] = useState(said?.note ?? '')
  const groups = feed.machines.find((m) => m.id === machineId)?.heads.flatMap((h) => h.channelGroups) ?? []
  const sendIt = (): void => {
    const doneMs = when.saidMs()
    send({
      kind: 'care',
      said: {
        machineId,
        care,
        channelGroupIds: [...groupIds],
        helpedSaid: helped === '' ? null : helped,
        note,
        ...(doneMs === null ? {} : { doneMs }),
      },
    })
  }
  return (
    <EntryForm isNew={!said} send={sendIt}>
      <Choose
        label="Machine"
        value={machineId}
        set={(id) => {
          setMachineId(id)
          setGroupIds([])
        }}
        choices={feed.machines.map((m) => [m.id, m.title])}
      />
      <Choose label="What was done" value={care} set={setCare} choices={CARES} />
      <fieldset>
        <legend>Only of some inks; none ticked is all</legend>
        {groups.map(({ id, title }) => (
          <label key={id} class="choice">
            <input
              type="checkbox"
              checked={groupIds.includes(id)}
              onChange={() =>
                setGroupIds(groupIds.includes(id) ? groupIds.filter((g) => g !== id) : [...groupIds, id])
              }
            />
            {title}
          </label>
        ))}
      </fieldset>
      <Choose label="Did it help?" value={helped} set={setHelped} choices={HELPED} />
      <WhenField
        when={when}
        isNew={!said}
        hint={
          said
            ? 'The log is put right; how far the ink had dried is counted on as before.'
            : 'Of earlier it is written down, and the ink is counted on as if it had not been cleaned.'
        }
      />
      <TextField label="A note, if there is something to remember" value={note} set={setNote} most={500} />
    </EntryForm>
  )
}

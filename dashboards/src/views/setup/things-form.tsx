import type { Machine, Settings } from '../../../../services/core/model/settings.ts'
import { addMachine, addRoom, withItem, withoutItem } from '../../models/settings-edits.ts'
import { AddByTitle } from './add-by-title.tsx'
import type { FormPart } from './form-parts.ts'
import { HeadsForm } from './heads-form.tsx'
import { NumberInput, SelectInput, TextInput } from './inputs.tsx'

export function RoomsForm({ settings, errors, readOnly, change }: FormPart) {
  const set = (edit: (rooms: Settings['rooms']) => Settings['rooms']): void =>
    change((s) => ({ ...s, rooms: edit(s.rooms) }))
  return (
    <fieldset class="part">
      <legend>Rooms</legend>
      {settings.rooms.map((room, at) => (
        <div key={room.id} class="fields thing">
          <TextInput
            label="Room"
            pointer={`/rooms/${at}/title`}
            errors={errors}
            readOnly={readOnly}
            value={room.title}
            set={(title) => set((rooms) => withItem(rooms, at, { title }))}
          />
          <Remove
            readOnly={readOnly}
            name={room.title}
            remove={() => set((rooms) => withoutItem(rooms, at))}
          />
        </div>
      ))}
      {!readOnly && (
        <AddByTitle
          id="add-room"
          label="Add a room"
          placeholder="Print floor"
          button="Add the room"
          add={(title) => change((s) => addRoom(s, title))}
        />
      )}
    </fieldset>
  )
}

export function MachinesForm(part: FormPart) {
  const { settings, readOnly, change } = part
  return (
    <fieldset class="part">
      <legend>Machines</legend>
      {settings.machines.map((machine, at) => (
        <MachineFields key={machine.id} {...part} machine={machine} at={at} />
      ))}
      {settings.rooms.length === 0 ? (
        <p class="hint">Add the room first that the machine stands in.</p>
      ) : (
        !readOnly && (
          <AddByTitle
            id="add-machine"
            label="Add a machine"
            placeholder="Roll 60, left bench"
            button="Add the machine"
            add={(title) => change((s) => addMachine(s, title))}
          />
        )
      )}
    </fieldset>
  )
}

const CLEANING_WORDS: Readonly<Record<Machine['selfCleaning']['kind'], string>> = {
  unknown: 'I do not know',
  no: 'No',
  everyHours: 'Yes, every so many hours',
}

function MachineFields({
  settings,
  errors,
  readOnly,
  change,
  machine,
  at,
}: FormPart & { machine: Machine; at: number }) {
  const pointer = `/machines/${at}`
  const field = { errors, readOnly }
  const set = (edit: Partial<Machine>): void =>
    change((s) => ({ ...s, machines: withItem(s.machines, at, edit) }))
  const { selfCleaning } = machine
  return (
    <div class="fields thing">
      <TextInput
        {...field}
        label="Machine"
        pointer={`${pointer}/title`}
        value={machine.title}
        set={(title) => set({ title })}
      />
      <SelectInput
        {...field}
        label="Stands in"
        pointer={`${pointer}/room`}
        value={machine.room}
        options={settings.rooms.map((r) => ({ value: r.id, label: r.title }))}
        set={(room) => set({ room })}
      />
      <SelectInput
        {...field}
        label="Cleans itself while on"
        pointer={`${pointer}/selfCleaning/kind`}
        value={selfCleaning.kind}
        options={(['unknown', 'no', 'everyHours'] as const).map((kind) => ({
          value: kind,
          label: CLEANING_WORDS[kind],
        }))}
        set={(kind) => set({ selfCleaning: selfCleaningOf(kind) })}
      />
      {selfCleaning.kind === 'everyHours' && (
        <NumberInput
          {...field}
          label="Every, in hours"
          pointer={`${pointer}/selfCleaning/hours`}
          value={selfCleaning.hours}
          set={(hours) => set({ selfCleaning: { kind: 'everyHours', hours } })}
        />
      )}
      <NumberInput
        {...field}
        label="Counts as off below, in W"
        pointer={`${pointer}/offBelowW`}
        hint="With a plug-in meter."
        value={machine.offBelowW}
        set={(offBelowW) => set({ offBelowW })}
      />
      <HeadsForm part={{ settings, errors, readOnly, change }} machine={machine} at={at} />
      <Remove
        readOnly={readOnly}
        name={machine.title}
        remove={() => change((s) => ({ ...s, machines: withoutItem(s.machines, at) }))}
      />
    </div>
  )
}

/** Starting value where it cleans itself: every 6 hours, until the owner writes what the machine is set to. */
function selfCleaningOf(kind: string): Machine['selfCleaning'] {
  if (kind === 'everyHours') return { kind, hours: 6 }
  return { kind: kind === 'no' ? 'no' : 'unknown' }
}

export function Remove({ readOnly, name, remove }: { readOnly: boolean; name: string; remove: () => void }) {
  if (readOnly) return null
  return (
    <button type="button" class="plain remove" onClick={remove}>
      Remove<span class="only-read">{` ${name}`}</span>
    </button>
  )
}

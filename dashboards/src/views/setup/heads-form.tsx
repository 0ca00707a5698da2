import type { Machine, Settings } from '../../../../services/core/model/settings.ts'
import { withItem, withoutItem } from '../../models/settings-edits.ts'
import { newHead } from '../../models/walk.ts'
import type { FormPart } from './form-parts.ts'
import { SelectInput, TextInput } from './inputs.tsx'

type Head = Machine['heads'][number]
type Group = Head['channelGroups'][number]

/** The heads of a machine, and in each the inks that dry by limits of their own. */
export function HeadsForm({ part, machine, at }: { part: FormPart; machine: Machine; at: number }) {
  const { settings, readOnly, change } = part
  const set = (edit: (heads: Machine['heads']) => Machine['heads']): void =>
    change((s) => withHeads(s, at, edit(s.machines[at]?.heads ?? [])))
  return (
    <details class="heads">
      <summary>{`Print heads and inks: ${headsWords(machine.heads)}`}</summary>
      {machine.heads.map((head, n) => (
        <HeadFields
          key={head.id}
          part={part}
          head={head}
          pointer={`/machines/${at}/heads/${n}`}
          set={(edit) => set((heads) => withItem(heads, n, edit))}
          remove={() => set((heads) => withoutItem(heads, n))}
        />
      ))}
      {!readOnly && machine.heads.length < 16 && (
        <button
          type="button"
          class="plain strong"
          onClick={() => set((heads) => [...heads, newHead(settings, machine.id, heads.length, false)])}
        >
          Add a head<span class="only-read">{` to ${machine.title}`}</span>
        </button>
      )}
    </details>
  )
}

function headsWords(heads: Machine['heads']): string {
  if (heads.length === 0) return 'none yet'
  const inks = new Set(heads.flatMap((h) => h.channelGroups.map((g) => g.ink)))
  return `${heads.length}, ${[...inks].join(' and ')}`
}

function withHeads(settings: Settings, at: number, heads: Machine['heads']): Settings {
  return { ...settings, machines: withItem(settings.machines, at, { heads }) }
}

function HeadFields({
  part: { errors, readOnly },
  head,
  pointer,
  set,
  remove,
}: {
  part: FormPart
  head: Head
  pointer: string
  set: (edit: Partial<Head>) => void
  remove: () => void
}) {
  const field = { errors, readOnly }
  const setGroups = (channelGroups: Group[]): void => set({ channelGroups })
  const groups = head.channelGroups
  return (
    <div class="thing">
      <div class="fields">
        <TextInput
          {...field}
          label="Head"
          pointer={`${pointer}/title`}
          value={head.title}
          set={(title) => set({ title })}
        />
        {groups.map((group, n) => (
          <div key={group.id}>
            <TextInput
              {...field}
              label="Channel group"
              pointer={`${pointer}/channelGroups/${n}/title`}
              value={group.title}
              set={(title) => setGroups(withItem(groups, n, { title }))}
            />
            <SelectInput
              {...field}
              label="Ink"
              pointer={`${pointer}/channelGroups/${n}/ink`}
              value={group.ink}
              options={[
                { value: 'colour', label: 'Colour' },
                { value: 'white', label: 'White' },
              ]}
              set={(ink) => setGroups(withItem(groups, n, { ink: ink === 'white' ? 'white' : 'colour' }))}
            />
            {!readOnly && groups.length > 1 && (
              <button type="button" class="plain" onClick={() => setGroups(withoutItem(groups, n))}>
                Remove<span class="only-read">{` ${group.title} of ${head.title}`}</span>
              </button>
            )}
          </div>
        ))}
      </div>
      {!readOnly && (
        <p class="buttons">
          <button type="button" class="plain strong" onClick={() => setGroups([...groups, newGroup(head)])}>
            Add a channel group<span class="only-read">{` to ${head.title}`}</span>
          </button>
          <button type="button" class="plain" onClick={remove}>
            Remove the head<span class="only-read">{` ${head.title}`}</span>
          </button>
        </p>
      )}
    </div>
  )
}

function newGroup({ id, channelGroups }: Head): Group {
  const taken = channelGroups.map((g) => g.id)
  let n = channelGroups.length + 1
  while (taken.includes(`${id}-g${n}`)) n++
  return { id: `${id}-g${n}`, title: 'White', ink: 'white' }
}

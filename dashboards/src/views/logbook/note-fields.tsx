import { useId, useState } from 'preact/hooks'
import type { LogNote } from '../../../../services/core/model/log-entry.ts'
import type { FieldsProps } from './shown-log.ts'
import { Choose, EntryForm, WhenField } from './when.tsx'

/** A note on the shop, a room, a machine or a bottle. */
export function NoteFields({ app, feed, row, when, send }: FieldsProps) {
  const said = row?.kind === 'note' ? row : null
  const { machineId } = app.log.filter.peek()
  const first = machineId === '' ? keyOf('site', feed.site.id) : keyOf('machine', machineId)
  const [about, setAbout] = useState(said ? keyOf(said.subject.kind, said.subject.id) : first)
  const [text, setText] = useState(said?.text ?? '')
  const id = useId()
  const choices = [
    [keyOf('site', feed.site.id), `The shop: ${feed.site.title}`] as const,
    ...feed.machines.map((m) => [keyOf('machine', m.id), m.title] as const),
    ...feed.rooms.map((r) => [keyOf('room', r.id), r.title] as const),
    ...feed.bottles.map((b) => [keyOf('bottle', b.id), b.title] as const),
  ]
  const sendIt = (): void =>
    send({ kind: 'note', said: { subject: subjectOf(about), text, atMs: when.saidMs() ?? when.nowMs() } })
  return (
    <EntryForm isNew={!said} send={sendIt}>
      <Choose label="About" value={about} set={setAbout} choices={choices} />
      <label for={id}>Note</label>
      <textarea
        id={id}
        required
        rows={3}
        maxLength={2000}
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      <WhenField when={when} isNew={!said} />
    </EntryForm>
  )
}

type SubjectKind = LogNote['subject']['kind']

function keyOf(kind: SubjectKind, id: string): string {
  return `${kind}:${id}`
}

function subjectOf(key: string): LogNote['subject'] {
  const at = key.indexOf(':')
  return { kind: key.slice(0, at) as SubjectKind, id: key.slice(at + 1) }
}

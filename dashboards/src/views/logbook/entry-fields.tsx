import { useState } from 'preact/hooks'
import type { LogKind } from '../../../../services/core/model/log-entry.ts'
import type { LogRow, LogSaid } from '../../api/log-api.ts'
import { entryTitle, logTimeOf } from '../../words/log-words.ts'
import { CareFields } from './care-fields.tsx'
import { CheckFields } from './check-fields.tsx'
import { HeadFields } from './head-fields.tsx'
import { NoteFields } from './note-fields.tsx'
import type { FieldsProps, ShownLog } from './shown-log.ts'
import { useWhen } from './when.tsx'

interface EntryFieldsProps extends ShownLog {
  readonly kind: LogKind
  readonly row: LogRow | null
  readonly done: () => void
}

/** A new entry, or the correction of one. */
export function EntryFields({ kind, row, done, ...shown }: EntryFieldsProps) {
  const { app } = shown
  const when = useWhen(shown, row && logTimeOf(row))
  const [turn, setTurn] = useState(0)
  const send = async (entry: LogSaid): Promise<void> => {
    const ok = row ? await app.log.correct(row, entry, false) : await app.log.add(entry)
    if (!ok) return
    when.clear()
    setTurn(turn + 1)
    done()
    document.getElementById('logbook-title')?.focus()
  }
  const props: FieldsProps = { ...shown, row, when, send: (entry) => void send(entry) }
  const label = row ? `Correct: ${entryTitle(row, { places: shown.feed, unit: shown.unit })}` : NEW[kind]
  return (
    <div role="group" aria-label={label}>
      {kind === 'nozzleCheck' && <CheckFields key={turn} {...props} />}
      {kind === 'care' && <CareFields key={turn} {...props} />}
      {kind === 'note' && <NoteFields key={turn} {...props} />}
      {kind === 'headChange' && <HeadFields key={turn} {...props} />}
    </div>
  )
}

const NEW: Readonly<Record<LogKind, string>> = {
  nozzleCheck: 'Write down a nozzle check',
  care: 'Write down a cleaning',
  note: 'Write a note',
  headChange: 'Write down a new head',
}

import { useState } from 'preact/hooks'
import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { sayables, type Sayable } from '../../words/act-words.ts'
import { useDisclosure } from '../disclosure.ts'

interface SayMenuProps {
  readonly app: AppModel
  readonly board: BoardView
  readonly machine: MachineView
}

interface Said {
  readonly text: string
  readonly isTrouble: boolean
}

/** "Say what you did": what only a person at the machine knows. Nothing for those who may say nothing. */
export function SayMenu({ app, board, machine }: SayMenuProps) {
  const [said, setSaid] = useState<Said | null>(null)
  const panelId = `say-${machine.id}`
  const panel = useDisclosure(panelId)
  const list = sayables(machine, board).filter((s) => app.session.may(s.permission))
  if (list.length === 0) return null
  const take = (next: Said): void => {
    setSaid(next)
    panel.close()
  }
  return (
    <div class="saying" onKeyDown={panel.onKeyDown}>
      <button type="button" class="plain" {...panel.button}>
        Say what you did
        <span class="only-read">{` at ${machine.title}`}</span>
      </button>
      {panel.isOpen && <Choices id={panelId} app={app} machine={machine} list={list} take={take} />}
      <p class="said" role="status" aria-live="polite">
        {said && !said.isTrouble && said.text}
      </p>
      {said?.isTrouble && (
        <p class="said said-trouble" role="alert">
          {said.text}
        </p>
      )}
    </div>
  )
}

function Choices({
  id,
  app,
  machine,
  list,
  take,
}: {
  id: string
  app: AppModel
  machine: MachineView
  list: readonly Sayable[]
  take: (said: Said) => void
}) {
  const [isSending, setSending] = useState(false)
  const say = async ({ act, noted }: Sayable): Promise<void> => {
    setSending(true)
    const trouble = await app.board.say(machine.id, act)
    take(trouble === '' ? { text: noted, isTrouble: false } : { text: trouble, isTrouble: true })
  }
  return (
    <ul class="say-list" id={id} aria-label={`What you did at ${machine.title}`}>
      {list.map((sayable) => (
        <li key={sayable.label}>
          <button type="button" class="plain" disabled={isSending} onClick={() => void say(sayable)}>
            {sayable.label}
          </button>
        </li>
      ))}
    </ul>
  )
}

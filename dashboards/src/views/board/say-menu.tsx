import { useState } from 'preact/hooks'
import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { sayables, type Sayable } from '../../words/act-words.ts'
import { hourAndMinute } from '../../words/shop-time.ts'
import { useDisclosure } from '../disclosure.ts'
import { lazy } from '../lazy.tsx'

const CheckForm = lazy(async () => (await import('../morning/nozzle-check.tsx')).CheckForm)

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
  const mayCheck = app.session.may('logNozzleChecks')
  if (list.length === 0 && !mayCheck) return null
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
      {panel.isOpen && (
        <div id={panelId}>
          <Choices app={app} machine={machine} list={list} take={take} />
          {mayCheck && <NozzleCheck app={app} board={board} machine={machine} take={take} />}
        </div>
      )}
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

/** Routine is the likely reason in the morning alone: later the person says why. */
function NozzleCheck({ app, board, machine, take }: SayMenuProps & { take: (said: Said) => void }) {
  const [isOpen, setOpen] = useState(false)
  const { id, title, inks } = machine
  const isMorning = hourAndMinute(board.nowMs, board.site.timeZone).hour < 12
  const manyHeads = new Set(inks.map((i) => i.headTitle)).size > 1
  const groups = inks.map((i) => ({
    id: i.channelGroupId,
    title: manyHeads ? `${i.title} (${i.headTitle})` : i.title,
  }))
  return (
    <>
      <button type="button" class="plain" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        I checked the nozzles
      </button>
      {isOpen && (
        <CheckForm
          app={app}
          machine={{ id, title, groups }}
          reason={isMorning ? 'routine' : null}
          done={(text) => take({ text, isTrouble: false })}
        />
      )}
    </>
  )
}

function Choices({
  app,
  machine,
  list,
  take,
}: {
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
    <ul class="say-list" aria-label={`What you did at ${machine.title}`}>
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

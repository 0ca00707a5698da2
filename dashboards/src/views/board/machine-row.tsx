import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import type { StripRoom } from '../../strip/sheet-geometry.ts'
import { stateWords } from '../../words/machine-words.ts'
import { countText, unbroken } from '../../words/quantity-text.ts'
import { standingWord } from '../../words/standing-words.ts'
import { StandingMark } from '../standing-mark.tsx'
import { Answers } from './alarm-answers.tsx'
import { BottleCell } from './bottle-cell.tsx'
import { SayMenu } from './say-menu.tsx'
import { StripCell } from './strip-cell.tsx'

interface MachineProps {
  readonly app: AppModel
  readonly board: BoardView
  readonly machine: MachineView
}

/** One machine: what to know and do, the strip as its evidence with the night in words, its bottle. */
export function MachineRow({ room, ...props }: MachineProps & { room: StripRoom | null }) {
  const { board, machine, app } = props
  return (
    <li class={`machine machine-${machine.standing}`} aria-labelledby={`machine-${machine.id}`}>
      <MachineWords {...props} />
      <StripCell board={board} machine={machine} room={room} />
      <BottleCell app={app} board={board} machine={machine} />
    </li>
  )
}

function MachineWords({ app, board, machine }: MachineProps) {
  const { alarm, action, standing, otherAlarms, why, title } = machine
  return (
    <div class="machine-words">
      <h2 id={`machine-${machine.id}`} class="machine-title">
        <StandingMark standing={standing} />
        <span>{title}</span>
        <span class={`standing-word standing-${standing}`}>{standingWord(machine, board.site)}</span>
      </h2>
      <States machine={machine} board={board} />
      <p class="sentence">{unbroken(machine.sentence)}</p>
      <p class="evidence">{unbroken(machine.evidence)}</p>
      {otherAlarms > 0 && (
        <p class="evidence">
          <a href="#/tasks">{`And ${countText(otherAlarms, 'other thing', 'other things')} about it`}</a>
        </p>
      )}
      {action && (
        <a class={`do do-${standing}`} href={hashOf({ page: 'tasks', taskId: action.taskId })}>
          {unbroken(action.label)}
        </a>
      )}
      <div class="asides">
        <Answers app={app} about={{ id: machine.id, title: alarm?.title ?? title }} alarm={alarm} why={why} />
        <SayMenu app={app} board={board} machine={machine} />
      </div>
    </div>
  )
}

/** What is particular about it now: being serviced, off its cap, out of service. */
function States({ machine, board }: { machine: MachineView; board: BoardView }) {
  const words = stateWords(machine, board)
  if (words.length === 0) return null
  return (
    <ul class="states">
      {words.map((text) => (
        <li key={text}>{text}</li>
      ))}
    </ul>
  )
}

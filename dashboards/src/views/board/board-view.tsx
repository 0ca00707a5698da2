import { useRef } from 'preact/hooks'
import type { Alarm } from '../../../../services/core/model/alarm.ts'
import type { BoardView as Board } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import { sheetGeometry } from '../../strip/sheet-geometry.ts'
import { clockTime } from '../../words/shop-time.ts'
import { byStanding, STANDING_WORDS, standingOfUrgency, urgencyWord } from '../../words/standing-words.ts'
import { StandingMark } from '../standing-mark.tsx'
import { Trouble, Waiting } from '../states.tsx'
import { Answers } from './alarm-answers.tsx'
import { BoardFoot } from './board-foot.tsx'
import { MachineRow } from './machine-row.tsx'
import { NextSteps } from './next-steps.tsx'
import { StripLegend } from './strip-legend.tsx'
import { TimeAxis } from './sheet-drawing.tsx'
import { useStripRoom } from './strip-room.ts'

export function BoardView({ app }: { app: AppModel }) {
  const board = app.board.board.value
  const keptMs = app.board.keptMs.value ?? app.feed.lostSinceMs.value
  const trouble = app.feed.lostSinceMs.value === null ? app.board.trouble.value : ''
  if (!board) return trouble ? <Trouble text={trouble} retry={() => void app.board.load()} /> : <Waiting />
  return (
    <>
      <h1 class="statement">
        {keptMs === null
          ? board.statement
          : `At ${clockTime(keptMs, board.site.timeZone)}: ${board.statement}`}
      </h1>
      {trouble && <Trouble text={trouble} retry={() => void app.board.load()} />}
      <NextSteps app={app} steps={board.nextSteps} />
      {board.shopAlarms.length > 0 && (
        <ul class="shop-alarms">
          {board.shopAlarms.map((alarm) => (
            <ShopAlarm key={alarm.id} app={app} alarm={alarm} />
          ))}
        </ul>
      )}
      {board.machines.length > 0 && <Sheet app={app} board={board} />}
      <BoardFoot app={app} board={board} />
    </>
  )
}

/** All strips on one sheet: the hours stand over them once, closed hours and the line of now run through all. */
function Sheet({ app, board }: { app: AppModel; board: Board }) {
  const cell = useRef<HTMLDivElement>(null)
  const room = useStripRoom(cell)
  return (
    <section class="sheet" aria-label="Machines, the past twelve hours and the coming night">
      <div class="sheet-axis">
        <div class="axis-cell" ref={cell}>
          {room?.names === 'beside' && (
            <TimeAxis sheet={sheetGeometry(board, room)} widthPx={room.widthPx} remPx={room.remPx} />
          )}
        </div>
        <p class="axis-bottle">Waste bottle</p>
      </div>
      <ul class="machines">
        {byStanding(board.machines).map((machine) => (
          <MachineRow key={machine.id} app={app} board={board} machine={machine} room={room} />
        ))}
      </ul>
      <StripLegend />
    </section>
  )
}

/** An alarm that belongs to no machine: a node that fell silent, for instance. */
function ShopAlarm({ app, alarm }: { app: AppModel; alarm: Alarm }) {
  const isOver = alarm.state === 'returnedUnacknowledged'
  const standing = isOver ? 'well' : standingOfUrgency(alarm.urgency)
  const task = app.tasks.open.value?.find(
    (t) => t.alarmId === alarm.id || t.joinedAlarmIds.includes(alarm.id),
  )
  return (
    <li class="shop-alarm">
      <h2 class="machine-title">
        <StandingMark standing={standing} />
        <span>{alarm.title}</span>
        <span class={`standing-word standing-${standing}`}>
          {isOver
            ? 'Over, not yet seen'
            : standing === 'actNow'
              ? STANDING_WORDS.actNow
              : urgencyWord(alarm.urgency, app.board.board.value?.site)}
        </span>
      </h2>
      <p class="evidence">{alarm.cause}</p>
      {task && (
        <a class={`do do-${standing}`} href={hashOf({ page: 'tasks', taskId: task.id })}>
          {task.title}
        </a>
      )}
      <Answers app={app} about={{ id: alarm.id, title: alarm.title }} alarm={alarm} why={null} />
    </li>
  )
}

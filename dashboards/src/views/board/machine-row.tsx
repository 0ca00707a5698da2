import { useState } from 'preact/hooks'
import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import { sheetGeometry, stripGeometry, type StripRoom } from '../../strip/strip-geometry.ts'
import { hourRows, stripSummary } from '../../strip/strip-summary.ts'
import { countText, percentText, unbroken, volumeText } from '../../words/quantity-text.ts'
import { clockTime } from '../../words/shop-time.ts'
import { STANDING_WORDS } from '../../words/standing-words.ts'
import { StandingMark } from '../standing-mark.tsx'
import { Answers, Reason } from './alarm-answers.tsx'
import { BottleDrawing } from './bottle-drawing.tsx'
import { SheetBands, TimeAxis } from './sheet-drawing.tsx'
import { StripDrawing } from './strip-drawing.tsx'

interface MachineProps {
  readonly app: AppModel
  readonly board: BoardView
  readonly machine: MachineView
  readonly room: StripRoom | null
}

/** One machine: what to know and do, the strip as its evidence, its bottle. */
export function MachineRow({ app, board, machine, room }: MachineProps) {
  return (
    <li class={`machine machine-${machine.standing}`} aria-labelledby={`machine-${machine.id}`}>
      <MachineWords app={app} machine={machine} />
      <div class="strip-cell">
        {room && <StripInRoom board={board} machine={machine} room={room} />}
        <HourTable board={board} machine={machine} />
      </div>
      <BottleWords board={board} machine={machine} />
    </li>
  )
}

function MachineWords({ app, machine }: Pick<MachineProps, 'app' | 'machine'>) {
  const [isOpen, setOpen] = useState(false)
  const { alarm, action, standing, otherAlarms } = machine
  return (
    <div class="machine-words">
      <h2 id={`machine-${machine.id}`} class="machine-title">
        <StandingMark standing={standing} />
        <span>{machine.title}</span>
        <span class={`standing-word standing-${standing}`}>{STANDING_WORDS[standing]}</span>
      </h2>
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
      {alarm && <Answers app={app} alarm={alarm} isOpen={isOpen} toggle={() => setOpen(!isOpen)} />}
      {alarm && isOpen && <Reason alarm={alarm} />}
    </div>
  )
}

function StripInRoom({
  board,
  machine,
  room,
}: Pick<MachineProps, 'board' | 'machine'> & { room: StripRoom }) {
  const sheet = sheetGeometry(board, room)
  const geometry = stripGeometry(machine, board, room)
  return (
    <>
      <SheetBands sheet={sheet} widthPx={room.widthPx} />
      <StripDrawing
        machine={machine}
        geometry={geometry}
        remPx={room.remPx}
        names={room.names}
        summary={stripSummary(machine, board)}
      />
      {room.names === 'above' && (
        <TimeAxis
          sheet={sheet}
          widthPx={room.widthPx}
          remPx={room.remPx}
          now={clockTime(board.nowMs, board.site.timeZone)}
        />
      )}
    </>
  )
}

function BottleWords({ board, machine }: Pick<MachineProps, 'board' | 'machine'>) {
  const { bottle } = machine
  if (!bottle) return <div class="bottle-cell" />
  const isPast = bottle.fillPct !== null && bottle.fillPct >= bottle.nearPct
  const others = bottle.sharedBy.map((id) => board.machines.find((m) => m.id === id)?.title ?? id)
  return (
    <div class="bottle-cell">
      <BottleDrawing
        id={machine.id}
        fillPct={bottle.fillPct}
        nearPct={bottle.nearPct}
        mark={isPast ? 'past' : 'calm'}
      />
      <div class="bottle-words">
        <p
          class={`bottle-fill bottle-fill-${bottle.fillPct === null ? 'unknown' : isPast ? 'past' : 'calm'}`}
        >
          {bottle.fillPct === null ? 'Not known' : percentText(bottle.fillPct)}
        </p>
        <p>
          {bottle.volumeMl !== null && `${volumeText(bottle.volumeMl, board.site.volumeUnit)} `}
          {`of ${volumeText(bottle.capacityMl, board.site.volumeUnit)}`}
        </p>
        <p>
          {isPast
            ? `Past its mark at ${percentText(bottle.nearPct)}`
            : `Mark at ${percentText(bottle.nearPct)}`}
        </p>
        {others.length > 0 && <p>{`Shared with ${others.join(', ')}`}</p>}
      </div>
    </div>
  )
}

/** The strip's numbers for those who read with their ears. */
function HourTable({ board, machine }: Pick<MachineProps, 'board' | 'machine'>) {
  return (
    <table class="only-read">
      <caption>{`${machine.title}, hour by hour`}</caption>
      <thead>
        <tr>
          <th scope="col">Time</th>
          <th scope="col">Humidity in %RH</th>
          <th scope="col">Power</th>
          {machine.bottle && <th scope="col">Bottle in %</th>}
        </tr>
      </thead>
      <tbody>
        {hourRows(machine, board).map((row) => (
          <tr>
            <th scope="row">{row.time}</th>
            <td>{row.humidityPct === null ? 'no readings' : Math.round(row.humidityPct)}</td>
            <td>{row.power === 'unknown' ? 'no readings' : row.power}</td>
            {machine.bottle && <td>{row.fillPct === null ? 'no readings' : Math.round(row.fillPct)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  )
}

import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import { sheetGeometry, type StripRoom } from '../../strip/sheet-geometry.ts'
import { stripGeometry } from '../../strip/strip-geometry.ts'
import { stripSummary } from '../../strip/strip-summary.ts'
import { nightWords } from '../../words/night-words.ts'
import { HourTable, NightTable } from './hour-tables.tsx'
import { SheetBands, TimeAxis } from './sheet-drawing.tsx'
import { StripDrawing } from './strip-drawing.tsx'

interface StripProps {
  readonly board: BoardView
  readonly machine: MachineView
}

/** The strip of a machine, and under it the night in words. */
export function StripCell({ board, machine, room }: StripProps & { room: StripRoom | null }) {
  return (
    <div class="strip-cell">
      <div class="film">{room && <StripInRoom board={board} machine={machine} room={room} />}</div>
      <Night board={board} machine={machine} />
      <HourTable board={board} machine={machine} />
      <NightTable board={board} machine={machine} />
    </div>
  )
}

function StripInRoom({ board, machine, room }: StripProps & { room: StripRoom }) {
  const sheet = sheetGeometry(board, room)
  return (
    <>
      <SheetBands sheet={sheet} room={room} />
      <StripDrawing
        machine={machine}
        geometry={stripGeometry(machine, board, room)}
        remPx={room.remPx}
        names={room.names}
        summary={stripSummary(machine, board)}
      />
      {room.names === 'above' && <TimeAxis sheet={sheet} widthPx={room.widthPx} remPx={room.remPx} />}
    </>
  )
}

function Night({ board, machine }: StripProps) {
  const night = nightWords(machine, board)
  if (!night) return null
  return (
    <div class="night">
      <p>{night.lead}</p>
      {night.basis.length > 0 && <p class="night-basis">{night.basis.join(' ')}</p>}
    </div>
  )
}

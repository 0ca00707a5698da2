import type { BoardView, MachineView } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { fullWords, standingWords, tareWords } from '../../words/bottle-words.ts'
import { percentText, volumeText } from '../../words/quantity-text.ts'
import { BottleDrawing } from './bottle-drawing.tsx'

interface BottleProps {
  readonly app: AppModel
  readonly board: BoardView
  readonly machine: MachineView
}

/** The bottle under a machine: drawn, in numbers, and when it will be full. */
export function BottleCell({ app, board, machine }: BottleProps) {
  const { bottle } = machine
  if (!bottle) return <div class="bottle-cell" />
  const mark = bottle.fillPct !== null && bottle.fillPct >= bottle.nearPct ? 'past' : 'calm'
  return (
    <div class="bottle-cell">
      <BottleDrawing
        id={machine.id}
        fillPct={bottle.fillPct}
        nearPct={bottle.nearPct}
        fullPct={bottle.fullPct}
        isLifted={bottle.standing === 'lifted'}
        mark={mark}
      />
      <BottleWords board={board} bottle={bottle} mark={mark} />
      <BottleAhead app={app} board={board} bottle={bottle} />
    </div>
  )
}

type Bottle = NonNullable<MachineView['bottle']>

function BottleWords({ board, bottle, mark }: { board: BoardView; bottle: Bottle; mark: 'past' | 'calm' }) {
  const { site } = board
  const near = percentText(bottle.nearPct)
  return (
    <div class="bottle-words">
      <p class={`bottle-fill bottle-fill-${bottle.fillPct === null ? 'unknown' : mark}`}>
        {bottle.fillPct === null ? (standingWords(bottle) ?? 'Not known') : percentText(bottle.fillPct)}
      </p>
      <p>
        {bottle.volumeMl !== null && `${volumeText(bottle.volumeMl, site.volumeUnit)} `}
        {`of ${volumeText(bottle.capacityMl, site.volumeUnit)}`}
      </p>
      {bottle.fillPct !== null && standingWords(bottle) && <p>{standingWords(bottle)}</p>}
      <p>{mark === 'past' ? `Past its mark at ${near}` : `Mark at ${near}`}</p>
    </div>
  )
}

/** What takes a sentence: when it will be full, whose it is too, and the offer of a new tare. */
function BottleAhead({ app, board, bottle }: { app: AppModel; board: BoardView; bottle: Bottle }) {
  const { site, nowMs } = board
  const others = bottle.sharedBy.map((id) => board.machines.find((m) => m.id === id)?.title ?? id)
  const full = fullWords(bottle, { timeZone: site.timeZone, nowMs })
  const tare = tareWords(bottle)
  return (
    <div class="bottle-words bottle-ahead">
      {full && <p class="bottle-full">{full}</p>}
      {others.length > 0 && <p>{`Shared with ${others.join(', ')}`}</p>}
      {tare && (
        <p>
          {tare} {app.session.may('changeSettings') && <a href="#/setup">Open Setup</a>}
        </p>
      )}
    </div>
  )
}

import type { BoardView as Board } from '../../../../services/core/model/views.ts'
import type { AppModel } from '../../models/app-model.ts'
import { countText, humidityText, pressureText, temperatureText } from '../../words/quantity-text.ts'
import { waterWords } from '../../words/room-words.ts'
import { durationText } from '../../words/shop-time.ts'

/** The rooms in numbers, and how much of what is shown is fresh. */
export function BoardFoot({ app, board }: { app: AppModel; board: Board }) {
  const { reporting, assigned, unassigned } = board.sensors
  return (
    <footer class="board-foot">
      {board.rooms.length > 0 && (
        <ul class="rooms" aria-label="Rooms">
          {board.rooms.map((room) => (
            <Room key={room.id} room={room} site={board.site} />
          ))}
        </ul>
      )}
      <p>
        {assigned > 0 && `${reporting} of ${countText(assigned, 'sensor reports', 'sensors report')}. `}
        {unassigned > 0 &&
          `${countText(unassigned, 'sensor is heard and', 'sensors are heard and')} not assigned. `}
        <Age app={app} lastReadingMs={board.lastReadingMs} />
        {board.quarantined > 0 && (
          <>
            {' '}
            {countText(board.quarantined, 'message', 'messages')} could not be used
            {app.session.may('seeQuarantine') ? (
              <>
                : <a href="#/sensors">see Sensors</a>.
              </>
            ) : (
              '.'
            )}
          </>
        )}
      </p>
      {app.session.may('seeAlarmMeasures') && (
        <p>
          <a href="#/alarms">All alarms, what is set aside, and how calm they are</a>
        </p>
      )}
      {board.plaintextBeyondLoopback && (
        <p>
          Readings or pages travel beyond this computer without encryption. Whoever shares the network can
          read them: set up TLS, or listen on this computer alone.
        </p>
      )}
      <p>Nightcap is no fire, leak or safety alarm. The manual of the machine always goes first.</p>
    </footer>
  )
}

function Room({ room, site }: { room: Board['rooms'][number]; site: Board['site'] }) {
  const water = waterWords(room, site.volumeUnit)
  return (
    <li>
      <span class="room-title">{room.title}</span>
      {room.outdoors && <span>outdoors</span>}
      <span>{temperatureText(room.temperatureC, site.temperatureUnit)}</span>
      <span>{humidityText(room.humidityPct)}</span>
      <span>{`dew point ${temperatureText(room.dewPointC, site.temperatureUnit)}`}</span>
      <span>
        {/* The trade says VPD; said in full for those who do not. */}
        <abbr title="vapour pressure deficit: how strongly the air dries">VPD</abbr>
        {` ${pressureText(room.vpdKpa)}`}
      </span>
      {water && <span class="room-water">{water}</span>}
    </li>
  )
}

/** Ticks by itself, so that the rest of the board need not. */
function Age({ app, lastReadingMs }: { app: AppModel; lastReadingMs: number | null }) {
  if (lastReadingMs === null) return <>No reading has come in yet.</>
  return <>{`Last reading ${durationText(app.clock.nowMs.value - lastReadingMs)} ago.`}</>
}

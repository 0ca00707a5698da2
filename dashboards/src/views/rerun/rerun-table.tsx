import type { Condition } from '../../../../services/core/model/episode.ts'
import type { RerunOutcome, RerunView } from '../../../../services/core/model/rerun.ts'
import type { AppModel } from '../../models/app-model.ts'
import { CONDITION_WORDS } from '../../words/condition-words.ts'
import { aMonth, leadText, valueText, warnedCount } from '../../words/rerun-words.ts'
import { dayOfMonth } from '../../words/shop-time.ts'

/** Today's limit and the tried one, side by side, and what each row means. */
export function RerunTable({ app, rerun }: { app: AppModel; rerun: RerunView }) {
  const [today, tried] = rerun.outcomes
  if (!today) return null
  const cells = (of: (outcome: RerunOutcome) => number | string) => (
    <>
      <td>{of(today)}</td>
      <td>{tried ? of(tried) : '…'}</td>
    </>
  )
  const clogs = today.clogs.length
  return (
    <>
      <div class="rerun-table" role="region" aria-label="Today and tried, side by side" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <td />
              <th scope="col">{`Today: ${valueText(today.value, rerun.choice)}`}</th>
              <th scope="col">{`Tried: ${valueText(rerun.order.value, rerun.choice)}`}</th>
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">{`Clogs warned of by this limit, of ${clogs}`}</th>
              {cells(warnedCount)}
            </tr>
            <tr>
              <th scope="row">How long before, in the middle</th>
              {cells((o) => leadText(o.medianLeadMs))}
            </tr>
            <tr>
              <th scope="row">Clogs not warned of by this limit</th>
              {cells((o) => o.clogs.length - warnedCount(o))}
            </tr>
            <tr>
              <th scope="row">Clogs not warned of by anything</th>
              {cells((o) => o.clogs.filter((c) => c.anyWarnedMs === null).length)}
            </tr>
            <tr>
              <th scope="row">Nights with this trouble</th>
              {cells((o) => o.nightsHeld)}
            </tr>
            <tr>
              <th scope="row">Nights somebody is called, for any reason</th>
              {cells((o) => o.nightsWoken)}
            </tr>
            <tr class="part">
              <th scope="row">of them before a new clog</th>
              {cells((o) => o.wokenBeforeClog)}
            </tr>
            <tr class="part">
              <th scope="row">of them for nothing</th>
              {cells((o) => o.wokenForNothing)}
            </tr>
            <tr class="part">
              <th scope="row">of them not to be told</th>
              {cells((o) => o.wokenUnclear)}
            </tr>
          </tbody>
        </table>
      </div>
      <AlarmTable rerun={rerun} today={today} tried={tried} />
      <Clogs app={app} outcome={tried ?? today} />
      <Meanings rerun={rerun} />
    </>
  )
}

function AlarmTable({
  rerun,
  today,
  tried,
}: {
  rerun: RerunView
  today: RerunOutcome
  tried: RerunOutcome | undefined
}) {
  const conditions = new Set<Condition>(
    [...today.alarms, ...(tried?.alarms ?? []), ...rerun.onRecord].map((a) => a.condition),
  )
  if (conditions.size === 0)
    return <p class="evidence">No alarm in this period, on record or in either run.</p>
  const times = (counts: RerunOutcome['alarms'], condition: Condition): string =>
    aMonth(counts.find((c) => c.condition === condition)?.count ?? 0, rerun)
  return (
    <div class="rerun-table" role="region" aria-label="Alarms a month" tabIndex={0}>
      <table>
        <caption>Alarms a month</caption>
        <thead>
          <tr>
            <td />
            <th scope="col">Today</th>
            <th scope="col">Tried</th>
            <th scope="col">On record</th>
          </tr>
        </thead>
        <tbody>
          {[...conditions].map((condition) => (
            <tr key={condition}>
              <th scope="row">{CONDITION_WORDS[condition]}</th>
              <td>{times(today.alarms, condition)}</td>
              <td>{tried ? times(tried.alarms, condition) : '…'}</td>
              <td>{times(rerun.onRecord, condition)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

function Clogs({ app, outcome }: { app: AppModel; outcome: RerunOutcome }) {
  const board = app.board.board.value
  const timeZone = board?.site.timeZone ?? 'UTC'
  if (outcome.clogs.length === 0) return null
  return (
    <details class="rerun-more">
      <summary>{`The ${outcome.clogs.length === 1 ? 'clog' : `${outcome.clogs.length} clogs`} found`}</summary>
      <ul>
        {outcome.clogs.map((clog) => (
          <li key={`${clog.channelGroupId} ${clog.checkedMs}`}>
            {`${dayOfMonth(clog.checkedMs, timeZone)}, ${
              board?.machines.find((m) => m.id === clog.machineId)?.title ?? clog.machineId
            }, ${clog.channelGroupId}: ${
              clog.warnedMs !== null && clog.warnedBy
                ? `${CONDITION_WORDS[clog.warnedBy].toLowerCase()}, ${leadText(clog.checkedMs - clog.warnedMs)} before the check`
                : clog.anyWarnedMs === null
                  ? 'nothing had been said'
                  : `not by this limit; something else ${leadText(clog.checkedMs - clog.anyWarnedMs)} before the check`
            }`}
          </li>
        ))}
      </ul>
    </details>
  )
}

function Meanings({ rerun }: { rerun: RerunView }) {
  const dropped = rerun.outcomes.at(-1)?.actsDropped ?? 0
  return (
    <details class="rerun-more">
      <summary>What these figures mean, and how far they go</summary>
      <ul>
        {rerun.remarks.map((remark) => (
          <li key={remark}>{remark}</li>
        ))}
        <li>
          A clog is new when nozzles are missing at a check after a clear one, with at most three nights
          without a check between. It was warned of when the trouble was on record before that check.
        </li>
        <li>
          A night runs from noon to noon. It counts as called when a call would have gone out while the shop
          was closed.
        </li>
        <li>
          “For nothing” means: the next check of that machine, within three nights, found no new clog.
          Somebody who got up may have saved the head; no record can tell that. Where no check followed, or
          the call was about a bottle or the mains, it is “not to be told”.
        </li>
        <li>
          Cleanings, caps and work at the machines stay as they were, though people might have acted
          otherwise.
        </li>
        {dropped > 0 && (
          <li>{`${dropped === 1 ? 'One answer' : `${dropped} answers`} of people to alarms that would not have been ${
            dropped === 1 ? 'was' : 'were'
          } left out.`}</li>
        )}
      </ul>
    </details>
  )
}

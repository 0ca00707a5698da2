import type { CausesView } from '../../../../services/core/model/causes-view.ts'
import { hashOf } from '../../models/route.ts'
import { LIMIT_WORDS, plain, pText, TERMS } from '../../words/cause-words.ts'

/** Limits that were chosen on some months and judged on the others. */
export function BetterLimits({ proposals }: { proposals: CausesView['proposals'] }) {
  if (proposals.length === 0) return null
  return (
    <section aria-labelledby="causes-limits">
      <h2 id="causes-limits">A better limit?</h2>
      <p class="hint">
        {`Chosen on every other month, and judged on the months between, which had no say. p of the choice: ${TERMS.maxP.charAt(0).toLowerCase()}${TERMS.maxP.slice(1)} The counts below are of the judged months alone.`}
      </p>
      {proposals.map((proposal) => (
        <Proposal key={proposal.of} proposal={proposal} />
      ))}
    </section>
  )
}

function Proposal({ proposal: { of, now, better, text } }: { proposal: CausesView['proposals'][number] }) {
  const { title, unit, path } = LIMIT_WORDS[of]
  return (
    <section class="cause-part">
      <h3>{`${title} ${plain(now, 1)} ${unit} now`}</h3>
      <p>{text}</p>
      {better && (
        <>
          <div class="table-room" tabIndex={0} role="group" aria-label={`${title}: now and proposed`}>
            <table>
              <thead>
                <tr>
                  <th scope="col">Limit</th>
                  <th scope="col">Alarms a month</th>
                  <th scope="col">Clogs caught</th>
                  <th scope="col">Clogs missed</th>
                  <th scope="col">False alarms</th>
                </tr>
              </thead>
              <tbody>
                <Line word={`${plain(now, 1)} ${unit}, now`} counts={better.today} />
                <Line word={`${plain(better.limit, 1)} ${unit}`} counts={better} />
              </tbody>
            </table>
          </div>
          <p class="hint">
            {`${better.limitsTried} limits were tried; p of the choice ${pText(better.chosenP)}; on the judged months ${better.judgedP === null ? 'it could not be tested' : `p ${pText(better.judgedP)}, corrected over all limits here`}. A false alarm is a night beyond the limit after which the check was clear.`}
            {of.startsWith('dose')
              ? ' It is chosen from what one night gathers; a re-run counts what stood before as well.'
              : ''}
          </p>
          {better.isBorneOut && better.limit !== now && (
            <p>
              <a class="do" href={hashOf({ page: 'rerun', limit: path, value: better.limit })}>
                {`See the stored past under ${plain(better.limit, 1)} ${unit}`}
              </a>
            </p>
          )}
        </>
      )}
    </section>
  )
}

interface Counts {
  readonly alarmsAMonth: number
  readonly clogsCaught: number
  readonly clogsMissed: number
  readonly falseAlarms: number
}

function Line({ word, counts }: { word: string; counts: Counts }) {
  return (
    <tr>
      <th scope="row">{word}</th>
      <td>{plain(counts.alarmsAMonth, 1)}</td>
      <td>{counts.clogsCaught}</td>
      <td>{counts.clogsMissed}</td>
      <td>{counts.falseAlarms}</td>
    </tr>
  )
}

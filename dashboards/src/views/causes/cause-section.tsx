import { Fragment, type ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import type { CauseRowView, CausesView } from '../../../../services/core/model/causes-view.ts'
import {
  EXPOSURE_WORDS,
  oddsText,
  plain,
  pText,
  shareText,
  TERMS,
  TEST_WORDS,
  valueText,
} from '../../words/cause-words.ts'
import { BeforeChart, CurveChart, DotsChart } from './cause-charts.tsx'

/** One exposure: what may be said of it, and what it rests on, unfolded in place. */
export function CauseSection({ row, tests }: { row: CauseRowView; tests: CausesView['tests'] }) {
  const { title, what } = EXPOSURE_WORDS[row.exposure]
  const isClaimed = row.verdict.direction !== 0
  const [isOpen, setOpen] = useState(isClaimed)
  const own = tests.filter((t) => t.exposure === row.exposure)
  return (
    <details class="cause" open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        <h3>{title}</h3>
        <span class={isClaimed ? 'cause-mark cause-claimed' : 'cause-mark'}>{MARKS[row.verdict.kind]}</span>
      </summary>
      <p class="cause-verdict">{row.verdict.text}</p>
      <p class="hint">{what}</p>
      {isOpen && (
        <>
          <TwoByTwo row={row} />
          <Figure
            title="Clog nights and other nights"
            note="A dot is a night with a new clog, a line one that was checked and clear."
          >
            <DotsChart row={row} />
          </Figure>
          <Curve row={row} />
          <Before row={row} />
          {own.length > 0 && <OwnTests tests={own} />}
        </>
      )}
    </details>
  )
}

const MARKS: Readonly<Record<CauseRowView['verdict']['kind'], string>> = {
  cannotTell: 'cannot tell',
  notTested: 'not tested',
  nothingSeen: 'no link seen',
  goesTogether: 'goes together',
  againstExpectation: 'goes together, against expectation',
}

function Figure({ title, note, children }: { title: string; note: string; children: ComponentChildren }) {
  return (
    <section class="cause-part">
      <h4>{title}</h4>
      <p class="hint">{note}</p>
      {children}
    </section>
  )
}

/** Clogs beyond the limit and within it, with risks and intervals. */
function TwoByTwo({ row }: { row: CauseRowView }) {
  const { table, exposure, unknownNights } = row
  if (!table) return null
  const { beyond } = EXPOSURE_WORDS[exposure]
  const limit = valueText(table.limit, exposure)
  const line = (word: string, { clogs, nights, low, high }: typeof table.beyond) => (
    <tr>
      <th scope="row">{word}</th>
      <td>{clogs}</td>
      <td>{nights}</td>
      <td>
        {nights === 0 ? 'none' : `${shareText(clogs / nights)} (${shareText(low)} to ${shareText(high)})`}
      </td>
    </tr>
  )
  return (
    <section class="cause-part">
      <h4>{`Nights ${beyond} ${limit}, and the others`}</h4>
      <div class="table-room" tabIndex={0} role="group" aria-label="Two by two">
        <table>
          <thead>
            <tr>
              <th scope="col">Nights</th>
              <th scope="col">Clogs</th>
              <th scope="col">Checked</th>
              <th scope="col">Risk (95 % interval)</th>
            </tr>
          </thead>
          <tbody>
            {line(`${beyond} ${limit}`, table.beyond)}
            {line('the others', table.within)}
          </tbody>
        </table>
      </div>
      <dl class="cause-figures">
        <dt>Odds ratio, each channel group by itself</dt>
        <dd>{`${oddsText(table.pooled)}, p ${pText(table.pooled.p)}`}</dd>
        <dt>All in one table, exactly</dt>
        <dd>{`${oddsText(table.fisher)}, p ${pText(table.fisher.p)}, mid-p ${pText(table.midP)}`}</dd>
      </dl>
      <p class="hint">
        {table.origin === 'settings'
          ? 'The limit is the one in your settings.'
          : 'The limit was fixed beforehand: a starting value, not in your settings.'}
        {unknownNights > 0
          ? ` ${unknownNights} checked nights are left out here: this was not known of them.`
          : ''}
      </p>
      <Meanings
        of={[
          ['Interval', TERMS.interval],
          ['Odds ratio', TERMS.odds],
          ['Each channel group by itself', TERMS.pooled],
          ['p', TERMS.p],
          ['Mid-p', TERMS.midP],
        ]}
      />
    </section>
  )
}

function Curve({ row }: { row: CauseRowView }) {
  const { slope, withinMonth, exposure, curve } = row
  if (curve.length === 0 || !slope) return null
  const step = (n: number): string => valueText(n, exposure)
  const shown = curve.filter((_, i) => i % 6 === 0)
  return (
    <Figure title="Dose and response" note={TERMS.curve}>
      <CurveChart row={row} />
      <dl class="cause-figures">
        <dt>{`Odds for each ${step(slope.step)} more`}</dt>
        <dd>{`${oddsText(slope)}, p ${pText(slope.p)}`}</dd>
        {withinMonth && (
          <>
            <dt>{`Within the same month, for each ${step(withinMonth.step)} more`}</dt>
            <dd>{`${oddsText(withinMonth)}, p ${pText(withinMonth.p)}, ${withinMonth.strata} months with a clog`}</dd>
          </>
        )}
      </dl>
      <Meanings
        of={[
          ['Within the same month', TERMS.withinMonth],
          ['Odds', TERMS.odds],
        ]}
      />
      <Numbers title="The numbers of the curve">
        <thead>
          <tr>
            <th scope="col">{EXPOSURE_WORDS[exposure].title}</th>
            <th scope="col">Nights with a clog</th>
            <th scope="col">Band</th>
          </tr>
        </thead>
        <tbody>
          {shown.map(({ value, share, low, high }) => (
            <tr key={value}>
              <th scope="row">{valueText(value, exposure)}</th>
              <td>{shareText(share)}</td>
              <td>{`${shareText(low)} to ${shareText(high)}`}</td>
            </tr>
          ))}
        </tbody>
      </Numbers>
    </Figure>
  )
}

const BACK = ['3 before', '2 before', '1 before', 'its own'] as const

function Before({ row }: { row: CauseRowView }) {
  const { average, traces, exposure } = row
  const { digits } = EXPOSURE_WORDS[exposure]
  if (!average && traces.length === 0) return null
  const told = (value: number | null | undefined): string =>
    value == null ? 'not known' : plain(value, digits)
  return (
    <Figure
      title="The days before a clog"
      note={`${average ? 'The average over all clogs, less matched nights, with a band of resampled clogs.' : 'Each clog by itself: full what was, dashed the mean of matched nights.'} Matched: ${lower(TERMS.matched)}`}
    >
      <BeforeChart row={row} />
      <Numbers title="The numbers of these days">
        <thead>
          <tr>
            <th scope="col">{average ? 'Nights' : 'Clog'}</th>
            {BACK.map((b) => (
              <th scope="col" key={b}>
                {b}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {average ? (
            <tr>
              <th scope="row">Difference (95 %)</th>
              {average.map((a, i) => (
                <td key={i}>{`${told(a.difference)} (${told(a.low)} to ${told(a.high)})`}</td>
              ))}
            </tr>
          ) : (
            traces.map((t) => (
              <tr key={t.name + t.nightOf}>
                <th scope="row">{`${t.name}, night of ${t.nightOf}`}</th>
                {t.values.map((v, i) => (
                  <td key={i}>{`${told(v)} (matched ${told(t.matched[i])})`}</td>
                ))}
              </tr>
            ))
          )}
        </tbody>
      </Numbers>
    </Figure>
  )
}

/** Each term in one sentence, where it stands. */
function Meanings({ of }: { of: readonly (readonly [term: string, meaning: string])[] }) {
  return (
    <details class="numbers">
      <summary>What these words mean</summary>
      <dl class="cause-figures">
        {of.map(([term, meaning]) => (
          <Fragment key={term}>
            <dt>{term}</dt>
            <dd>{meaning}</dd>
          </Fragment>
        ))}
      </dl>
    </details>
  )
}

function Numbers({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <details class="numbers">
      <summary>{title}</summary>
      <div class="table-room" tabIndex={0} role="group" aria-label={title}>
        <table>{children}</table>
      </div>
    </details>
  )
}

function OwnTests({ tests }: { tests: CausesView['tests'] }) {
  return (
    <section class="cause-part">
      <h4>Against chance</h4>
      <TestsTable tests={tests} />
      <Meanings
        of={[
          ['p', TERMS.p],
          ['Corrected', TERMS.corrected],
          ['Whole weeks exchanged', TERMS.weeks],
        ]}
      />
    </section>
  )
}

/** p of each test beside what it is worth for being one of many. */
export function TestsTable({ tests, isWhole = false }: { tests: CausesView['tests']; isWhole?: boolean }) {
  return (
    <div class="table-room" tabIndex={0} role="group" aria-label="Tests">
      <table>
        <thead>
          <tr>
            {isWhole && <th scope="col">Of</th>}
            <th scope="col">Test</th>
            <th scope="col">p</th>
            <th scope="col">Corrected</th>
            <th scope="col">May claim</th>
          </tr>
        </thead>
        <tbody>
          {tests.map((t) => (
            <tr key={t.exposure + t.test}>
              {isWhole && <td>{EXPOSURE_WORDS[t.exposure].title}</td>}
              <th scope="row">{TEST_WORDS[t.test]}</th>
              <td>{pText(t.p)}</td>
              <td>{pText(t.correctedP)}</td>
              <td>{t.decides ? 'yes' : 'no'}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

function lower(sentence: string): string {
  return sentence.charAt(0).toLowerCase() + sentence.slice(1)
}

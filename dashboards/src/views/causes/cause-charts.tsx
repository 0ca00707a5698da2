import * as Plot from '@observablehq/plot'
import { useCallback } from 'preact/hooks'
import type { CauseRowView } from '../../../../services/core/model/causes-view.ts'
import { EXPOSURE_WORDS } from '../../words/cause-words.ts'
import { BAND, Chart, FAINT, INK, TRACE } from './chart.tsx'

const NIGHTS_BACK = [-3, -2, -1, 0] as const

function axisLabel({ exposure }: CauseRowView): string {
  const { title, unit } = EXPOSURE_WORDS[exposure]
  return `${title}, ${unit}`
}

/** Where the limit stands; one that no night came near would only push the nights together. */
function limitRule({ table, clogNights, otherNights }: CauseRowView): Plot.Markish[] {
  const values = [...clogNights, ...otherNights]
  const isAmong = table && table.limit >= Math.min(...values) && table.limit <= Math.max(...values)
  return isAmong ? [Plot.ruleX([table.limit], { stroke: TRACE, strokeDasharray: '4 3' })] : []
}

/** How probable a clog is along the exposure, with its band and where the limit stands. */
export function CurveChart({ row }: { row: CauseRowView }) {
  const draw = useCallback(
    (): Plot.PlotOptions => ({
      height: 220,
      x: { label: axisLabel(row), labelAnchor: 'center', labelArrow: 'none' },
      y: {
        label: 'Nights with a clog, %',
        percent: true,
        zero: true,
        nice: true,
        ticks: 4,
        labelArrow: 'none',
      },
      marks: [
        Plot.areaY(row.curve, { x: 'value', y1: 'low', y2: 'high', fill: BAND, clip: true }),
        Plot.line(row.curve, { x: 'value', y: 'share', stroke: INK, strokeWidth: 2 }),
        ...limitRule(row),
        Plot.ruleY([0], { stroke: FAINT }),
      ],
    }),
    [row],
  )
  return (
    <Chart
      label={`How probable a clog is along ${axisLabel(row)}; the numbers are in the table.`}
      draw={draw}
    />
  )
}

/** Clog nights above, other nights below, a mark each. */
export function DotsChart({ row }: { row: CauseRowView }) {
  const draw = useCallback((): Plot.PlotOptions => {
    const nights = [
      ...row.clogNights.map((value) => ({ value, kind: 'Clog' })),
      ...row.otherNights.map((value) => ({ value, kind: 'Clear' })),
    ]
    return {
      height: 150,
      marginLeft: 52,
      x: { label: axisLabel(row), labelAnchor: 'center', labelArrow: 'none', nice: true },
      y: { label: null, domain: ['Clog', 'Clear'], tickSize: 0 },
      marks: [
        Plot.tickX(
          nights.filter((n) => n.kind === 'Clear'),
          { x: 'value', y: 'kind', stroke: TRACE, strokeOpacity: 0.35, inset: 14 },
        ),
        Plot.dot(
          nights.filter((n) => n.kind === 'Clog'),
          { x: 'value', y: 'kind', r: 4.5, fill: INK, fillOpacity: 0.75 },
        ),
        ...limitRule(row),
      ],
    }
  }, [row])
  return (
    <Chart
      label={`${row.clogNights.length} nights with a clog against other nights, by ${axisLabel(row)}.`}
      draw={draw}
    />
  )
}

/** The three days before each clog, and its own night; or their average against matched nights. */
export function BeforeChart({ row }: { row: CauseRowView }) {
  const draw = useCallback((): Plot.PlotOptions => {
    const base: Plot.PlotOptions = {
      height: 200,
      x: {
        label: 'Nights before the clog',
        labelAnchor: 'center',
        labelArrow: 'none',
        ticks: [...NIGHTS_BACK],
        tickFormat: (n: number) => (n === 0 ? 'its own' : String(-n)),
      },
      y: {
        label: row.average
          ? `Difference, ${EXPOSURE_WORDS[row.exposure].unit}`
          : EXPOSURE_WORDS[row.exposure].unit,
        ticks: 4,
        nice: true,
        labelArrow: 'none',
      },
    }
    const { average } = row
    if (average) {
      const points = average.map((a, i) => ({ ...a, night: NIGHTS_BACK[i] ?? 0 }))
      return {
        ...base,
        marks: [
          Plot.areaY(points, { x: 'night', y1: 'low', y2: 'high', fill: BAND }),
          Plot.ruleY([0], { stroke: FAINT }),
          Plot.line(points, { x: 'night', y: 'difference', stroke: INK, strokeWidth: 2 }),
        ],
      }
    }
    const lines = row.traces.flatMap((t, trace) =>
      NIGHTS_BACK.flatMap((night, i) => {
        const value = t.values[i] ?? null
        const matched = t.matched[i] ?? null
        return [
          { trace, night, value, kind: 'clog' },
          { trace, night, value: matched, kind: 'matched' },
        ]
      }),
    )
    const of = (kind: string) => lines.filter((l) => l.kind === kind)
    return {
      ...base,
      marks: [
        Plot.line(of('matched'), {
          x: 'night',
          y: 'value',
          z: 'trace',
          stroke: FAINT,
          strokeDasharray: '3 3',
        }),
        Plot.line(of('clog'), { x: 'night', y: 'value', z: 'trace', stroke: INK }),
        Plot.dot(
          of('clog').filter((l) => l.value !== null),
          { x: 'night', y: 'value', r: 3, fill: INK },
        ),
      ],
    }
  }, [row])
  const what = row.average
    ? 'The average of the days before a clog, less matched nights'
    : 'The days before each clog, beside matched nights'
  return <Chart label={`${what}; the numbers are in the table.`} draw={draw} />
}

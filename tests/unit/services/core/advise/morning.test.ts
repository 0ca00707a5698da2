import { describe, expect, it } from 'vitest'
import { morningView, type MorningMaterial } from '../../../../../services/core/advise/morning.ts'
import { recentNights } from '../../../../../services/core/advise/morning-nights.ts'
import type { Alarm } from '../../../../../services/core/model/alarm.ts'
import { morningViewSchema } from '../../../../../services/core/model/morning.ts'
import type { Condition, Episode } from '../../../../../services/core/model/episode.ts'
import { openingCalendar } from '../../../../../services/core/model/opening-hours.ts'
import type { Subject } from '../../../../../services/core/model/subject.ts'
import { testSettings } from '../../../../parts/shop-settings.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const settings = testSettings()
/** Tuesday to Wednesday, 18:00 to 08:30 in the shop. */
const CLOSED = Date.UTC(2026, 1, 3, 17)
const OPENED = Date.UTC(2026, 1, 4, 7, 30)
const NOW = OPENED + 20 * MIN
const FLOOR: Subject = { kind: 'room', id: 'floor' }

function episode(condition: Condition, span: Partial<Episode> = {}): Episode {
  const fromMs = span.fromMs ?? CLOSED + 2 * HOUR
  const toMs = span.toMs === undefined ? fromMs + HOUR : span.toMs
  return {
    id: `${condition}|${fromMs}`,
    condition,
    subject: FLOOR,
    judgedUnder: 'room:floor',
    fromMs,
    openedMs: fromMs,
    toMs,
    closedMs: toMs,
    value: 36,
    worst: 35,
    shopClosed: true,
    ...span,
  }
}

function alarmOf({ id, condition, subject, fromMs, toMs }: Episode, change: Partial<Alarm> = {}): Alarm {
  return {
    id: `alarm of ${id}`,
    rootKey: `${condition}|room:floor`,
    condition,
    subject,
    episodeIds: [id],
    leadEpisodeId: id,
    state: 'returnedUnacknowledged',
    urgency: 'today',
    priority: 'low',
    title: 'The air is too dry',
    cause: '',
    consequence: '',
    action: '',
    timeToAct: '',
    openedMs: fromMs,
    returnedMs: toMs,
    activations: 1,
    acknowledged: null,
    shelved: null,
    quiet: null,
    revision: 'none',
    ...change,
  }
}

function report(change: Partial<MorningMaterial> = {}) {
  const [night] = recentNights(openingCalendar(settings), NOW)
  if (!night) throw new Error('no night')
  const view = morningView({
    nowMs: NOW,
    settings,
    night,
    earlier: [],
    episodes: [],
    alarms: [],
    told: [],
    answered: [],
    openTasks: [],
    bucketMs: 5 * MIN,
    series: new Map(),
    quarters: new Map(),
    ...change,
  })
  return morningViewSchema.parse(view)
}

describe('nights', () => {
  const nights = (nowMs: number) => recentNights(openingCalendar(settings), nowMs)
  it('NIGHTS-1 the last closed period; one that runs counts once it has lasted four hours', () => {
    expect(nights(NOW)[0]).toEqual({ date: '2026-02-03', fromMs: CLOSED, toMs: OPENED })
    expect(nights(CLOSED + 3 * HOUR)[0]?.date).toBe('2026-02-02')
    expect(nights(CLOSED + 5 * HOUR)[0]).toMatchObject({ date: '2026-02-03', toMs: CLOSED + 5 * HOUR })
  })
  it('NIGHTS-2 a weekend is one night, that of its Friday', () => {
    const weekend = nights(NOW).find((n) => n.date === '2026-01-30')
    expect((weekend?.toMs ?? 0) - (weekend?.fromMs ?? 0)).toBe(62.5 * HOUR)
    expect(nights(NOW).some((n) => n.date === '2026-01-31')).toBe(false)
  })
  it('NIGHTS-3 a shop without hours is told of the last twelve hours', () => {
    const calendar = openingCalendar(testSettings({ hours: { weekly: [], holidays: [] } }))
    expect(recentNights(calendar, NOW)).toMatchObject([{ fromMs: NOW - 12 * HOUR, toMs: NOW }])
  })
})

/** Something was heard of all that is measured. */
const point = { atMs: CLOSED + HOUR, min: 45, mean: 46, max: 47, last: 46 }
const HEARD: Partial<MorningMaterial> = {
  series: new Map(settings.sensors.map((s) => [s.id, [point]])),
  quarters: new Map(
    settings.machines.map(({ id }) => {
      const work = { seconds: { standby: 900 }, cleanings: 0, uncappedS: 0, deficitKpa: 1, inks: [] }
      return [id, [{ machineId: id, endMs: CLOSED + HOUR, ...work }]]
    }),
  ),
}

describe('the morning report', () => {
  it.each([['series'], ['quarters']] as const)('MORNING-4 a night without %s is not called quiet', (what) => {
    expect(report({ ...HEARD, [what]: new Map() }).sentence).toBe(
      'Nothing is known to have happened, but not all of the night was seen.',
    )
  })
  it('MORNING-7 what a planned quiet covered is told as such, and is no trouble of the night', () => {
    const off = episode('powerLost', { subject: { kind: 'machine', id: 'roll' } })
    const quiet = { quietId: 'works', untilMs: null, note: '' }
    const { lines, sentence } = report({
      ...HEARD,
      episodes: [off],
      alarms: [alarmOf(off, { state: 'outOfService', quiet })],
    })
    expect(lines.map((l) => l.text)).toEqual([expect.stringMatching(/ A planned quiet covered it\.$/)])
    expect(sentence).toBe('The night was quiet.')
  })
  it('MORNING-5 a night in which nothing happened is one calm sentence', () => {
    const { sentence, lines, unknown, unseen } = report(HEARD)
    expect(sentence).toBe('The night was quiet.')
    expect([lines, unknown, unseen]).toEqual([[], [], []])
  })
  it('MORNING-1 in order of time, each trouble once however often it came', () => {
    const { lines, sentence } = report({
      episodes: [
        episode('roomCold', { fromMs: CLOSED + 9 * HOUR }),
        episode('airDry', { fromMs: CLOSED + 5 * HOUR }),
        episode('airDry'),
      ],
    })
    expect(lines.map((l) => l.text)).toEqual([
      'Print floor: air too dry, from 20:00, 2 times. Over at 00:00.',
      'Print floor: too cold, from 03:00. Over at 04:00, after 60 min.',
    ])
    expect(sentence).toBe('2 things happened in the night.')
  })
  it('MORNING-1 what began before closing or outlasts the night says so', () => {
    const { lines } = report({ episodes: [episode('airDry', { fromMs: CLOSED - HOUR, toMs: null })] })
    expect(lines.map((l) => l.text)).toEqual([
      'Print floor: air too dry, already at closing. It was not over when the night ended.',
    ])
  })
  it('MORNING-1 of a night that runs what holds is not over, and nothing has ended', () => {
    const nowMs = CLOSED + 5 * HOUR
    const [night] = recentNights(openingCalendar(settings), nowMs)
    if (!night) throw new Error('no night')
    const { lines, sentence } = report({ nowMs, night, episodes: [episode('airDry', { toMs: null })] })
    expect(lines.map((l) => l.text)).toEqual(['Print floor: air too dry, from 20:00. It is not over.'])
    expect(sentence).toBe('One thing happened so far tonight.')
  })
  it('MORNING-2 who was told and who answered stands where it happened', () => {
    const dry = episode('airDry')
    const alarm = alarmOf(dry, {
      acknowledged: { actorId: 'mira', via: 'phone', atMs: dry.fromMs + 9 * MIN },
    })
    const { lines } = report({
      episodes: [dry],
      alarms: [alarm],
      told: [{ atMs: dry.fromMs + 5 * MIN, name: 'Mira' }],
      answered: [{ atMs: dry.fromMs + 9 * MIN, name: null, alarmId: alarm.id }],
    })
    expect(lines.map((l) => l.text)).toEqual([
      'Print floor: air too dry, from 20:00. Over at 21:00, after 60 min.',
      'Mira was told at 20:05.',
      'Somebody answered at 20:09 (Print floor: air too dry).',
    ])
  })
  it('MORNING-3 what was over before anybody answered was over by itself, and waits to be seen', () => {
    const dry = episode('airDry')
    const { lines, unseen } = report({ episodes: [dry], alarms: [alarmOf(dry)] })
    expect(lines[0]?.text).toContain('Over at 21:00 by itself, after 60 min.')
    expect(unseen).toEqual([{ id: `alarm of ${dry.id}`, title: 'Print floor: air too dry' }])
  })
  it('MORNING-4 a night that was not all seen is not called quiet', () => {
    const dark = episode('monitorDark', { subject: { kind: 'site', id: 'quayside' } })
    const { sentence, lines, unknown } = report({ episodes: [dark] })
    expect(sentence).toBe('Nothing is known to have happened, but not all of the night was seen.')
    expect([lines.length, unknown.length]).toEqual([0, 1])
  })
  it('MORNING-6 what was taken back is not told as if it had been', () => {
    const dry = episode('airDry')
    expect(report({ episodes: [dry], alarms: [alarmOf(dry, { revision: 'withdrawn' })] }).lines).toEqual([])
  })
})

describe('what was measured in the night', () => {
  const point = (atMs: number, value: number) => ({ atMs, min: value, mean: value, max: value, last: value })
  it('MEASURED-1 the lowest humidity with its time, and how long it was under the limit', () => {
    const series = new Map([
      ['bench/humidity', [45, 39, 36, 39, 44].map((pct, i) => point(CLOSED + i * 5 * MIN, pct))],
    ])
    expect(report({ series }).measured[0]).toBe(
      'Print floor: humidity was lowest at 18:10, 36 %RH, and was under 40 %RH for 15 min.',
    )
  })
  it('MEASURED-2 of each ink the most of its limit, and the cleanings that were seen', () => {
    const quarter = (n: number, colour: number, white: number) => ({
      machineId: 'roll',
      endMs: CLOSED + n * 15 * MIN,
      seconds: { standby: 900 },
      cleanings: 1,
      uncappedS: 0,
      deficitKpa: 1.2,
      inks: [
        { channelGroupId: 'roll-colour', doseKpaH: colour, certainKpaH: colour },
        { channelGroupId: 'roll-white', doseKpaH: white, certainKpaH: white },
      ],
    })
    const quarters = new Map([['roll', [quarter(1, 10, 45), quarter(2, 40, 30)]]])
    expect(report({ quarters }).measured[1]).toBe(
      'Roll 60, left bench: of the drying limit Colour used at most 40 % and White 75 %. 2 cleanings were seen.',
    )
  })
  it('MEASURED-3 a bottle at the first and the last reading of the night', () => {
    const series = new Map([['bench/bottle', [point(CLOSED, 0.6), point(CLOSED + HOUR, 0.8)]]])
    expect(report({ series }).measured[2]).toBe('Waste bottle, left bench: from 20 % to 30 % full.')
  })
  it('MEASURED-4 sensors that said nothing all night are told as not known', () => {
    expect(report().measured).toEqual([
      'Print floor: the humidity of the night is not known.',
      'Roll 60, left bench: nothing was noted of it in the night.',
      'Waste bottle, left bench: its fill in the night is not known.',
    ])
  })
})

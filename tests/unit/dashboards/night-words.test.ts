import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createBoardModel } from '../../../dashboards/src/models/board-model.ts'
import { createClock } from '../../../dashboards/src/models/clock.ts'
import { sayTo, type SayingApi } from '../../../dashboards/src/models/machine-saying.ts'
import { sayables, type MachineAct } from '../../../dashboards/src/words/act-words.ts'
import { fullWords, standingWords, tareWords } from '../../../dashboards/src/words/bottle-words.ts'
import { stateWords } from '../../../dashboards/src/words/machine-words.ts'
import { nightWords } from '../../../dashboards/src/words/night-words.ts'
import { bandsWords } from '../../../dashboards/src/words/power-words.ts'
import { waterWords } from '../../../dashboards/src/words/room-words.ts'
import { aboutTime, dayClock } from '../../../dashboards/src/words/shop-time.ts'
import { standingWord, urgencyWord } from '../../../dashboards/src/words/standing-words.ts'
import type { BoardView, InkView, MachineView } from '../../../services/core/model/views.ts'
import { bottle } from '../../parts/invented-courses.ts'
import { inventedBoard, openBoard, SHOP_NOW_MS, weekendBoard } from '../../parts/invented-shop.ts'

const MIN = 60_000
const HOUR = 60 * MIN
const NOW = { timeZone: 'Europe/Brussels', nowMs: SHOP_NOW_MS }
const board = inventedBoard(SHOP_NOW_MS)

/** Non-breaking spaces as plain ones, so that the texts below can be read. */
const plain = (text: string | null | undefined): string | null => text?.replaceAll('\u00A0', ' ') ?? null

function machineOf(id: string, of: BoardView = board): MachineView {
  const found = of.machines.find((m) => m.id === id)
  if (!found) throw new Error(`no machine ${id}`)
  return found
}

const lead = (machine: MachineView, of: BoardView = board) => plain(nightWords(machine, of)?.lead)
const basis = (machine: MachineView, of: BoardView = board) => nightWords(machine, of)?.basis.map(plain)
/** The calm machine with its white ink changed, and no other. */
function withWhite(change: Partial<InkView>): MachineView {
  const calm = machineOf('window')
  return { ...calm, inks: calm.inks.filter((i) => i.ink === 'white').map((i) => ({ ...i, ...change })) }
}
const time = (earliestMin: number | null, likelyMin: number | null, latestMin: number | null) => ({
  earliestMs: earliestMin === null ? null : SHOP_NOW_MS + earliestMin * MIN,
  likelyMs: likelyMin === null ? null : SHOP_NOW_MS + likelyMin * MIN,
  latestMs: latestMin === null ? null : SHOP_NOW_MS + latestMin * MIN,
})

describe('times ahead', () => {
  it('ABOUT-1 are told no finer than they can be known: ten minutes, half an hour, an hour, a day', () => {
    expect(aboutTime(SHOP_NOW_MS + 42 * MIN, NOW)).toBe('22:50')
    expect(aboutTime(SHOP_NOW_MS + 5.7 * HOUR, NOW)).toBe('04:00')
    expect(aboutTime(SHOP_NOW_MS + 38.2 * HOUR, NOW)).toBe('Sat 12:00')
    expect(aboutTime(SHOP_NOW_MS + 12 * 24 * HOUR, NOW)).toBe('8 Dec')
  })

  it('ABOUT-2 are rounded on the clock of the shop, where that is off by a quarter too', () => {
    const kathmandu = { timeZone: 'Asia/Kathmandu', nowMs: SHOP_NOW_MS }
    expect(aboutTime(SHOP_NOW_MS + 5 * HOUR, kathmandu)).toMatch(/:(00|30)$/)
  })

  it('ABOUT-3 are never told before now', () => {
    let rounded = 0
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 110 * MIN }), (aheadMs) => {
        const nowMs = SHOP_NOW_MS + 4 * MIN
        const told = aboutTime(nowMs + aheadMs, { ...NOW, nowMs })
        if (/0$/.test(told)) rounded++
        expect(told >= '22:14' || told < '01:00').toBe(true)
      }),
    )
    expect(rounded).toBeGreaterThan(0)
  })

  it('ABOUT-4 carry their day from twelve hours on, and the date from six days on', () => {
    expect(dayClock(SHOP_NOW_MS + 10 * HOUR, NOW)).toBe('08:10')
    expect(dayClock(SHOP_NOW_MS + 13 * HOUR, NOW)).toBe('Fri 11:10')
    expect(dayClock(SHOP_NOW_MS + 13 * HOUR, NOW, 'long')).toBe('Friday 11:10')
    expect(dayClock(SHOP_NOW_MS + 8 * 24 * HOUR, NOW)).toBe('4 Dec 22:10')
  })
})

describe('the night in words', () => {
  it('NIGHT-WORDS-1 what holds is said with how much will be used up, of the ink that gets furthest', () => {
    expect(lead(machineOf('window'))).toBe(
      'Likely to hold till 08:30: the white ink will have used about 40 % of its limit.',
    )
    const weekend = weekendBoard()
    expect(lead(machineOf('window', weekend), weekend)).toMatch(/^Likely to hold till Monday 08:30: /)
    expect(lead(withWhite({ usedPct: 0, ahead: [[SHOP_NOW_MS, 0, 0, 0], [SHOP_NOW_MS + HOUR, 0, 1, 2]] }))).toContain('used hardly any of its limit') // prettier-ignore
    expect(basis(machineOf('window'))).toEqual([])
  })

  it('NIGHT-WORDS-2 what passes its limit is said with the time and between what, the first ink first', () => {
    expect(lead(withWhite({ passesLimit: time(262, 350, 470) }))).toBe(
      'As things stand the white ink passes its limit about 04:00 (between 02:30 and 06:00).',
    )
    expect(lead(withWhite({ passesLimit: time(262, 350, null) }))).toContain('about 04:00 (from 02:30 on).')
    expect(lead(withWhite({ passesLimit: time(350, 350, 350) }))).toBe(
      'As things stand the white ink passes its limit about 04:00.',
    )
    // Both pass on the machine whose head stands open: the white ink does so earlier.
    expect(lead(machineOf('roll'))).toContain('the white ink passes its limit about 22:50')
  })

  it('NIGHT-WORDS-3 what may pass but likely holds is said as both, with how often', () => {
    expect(lead(withWhite({ passesLimit: time(480, null, null), probabilityBeforeOpening: 0.31 }))).toBe(
      'Likely to hold till 08:30, but not surely: the white ink may pass its limit from 06:00 on (in about 30 % of nights like this).',
    )
    expect(lead(withWhite({ passesLimit: time(480, null, null), probabilityBeforeOpening: null }))).toMatch(
      /from 06:00 on\.$/,
    )
  })

  it('NIGHT-WORDS-4 ink past its limit is said to be so now, whatever is expected', () => {
    expect(lead(withWhite({ usedPct: 104 }))).toBe('The white ink is past its limit now.')
  })

  it('NIGHT-WORDS-5 a forecast from few days says that it takes the air to stay as it is', () => {
    expect(basis(machineOf('right'))).toEqual([
      'Only 3 days measured so far: shown as if the air stayed as it is.',
    ])
    const { night } = machineOf('right')
    const ofDays = (days: number) => basis({ ...machineOf('right'), night: night && { ...night, days } })
    expect(ofDays(1)).toEqual(['Only 1 day measured so far: shown as if the air stayed as it is.'])
    expect(ofDays(0)).toEqual(['No full day measured so far: shown as if the air stayed as it is.'])
  })

  it('NIGHT-WORDS-6 wetting that nobody saw is said plainly, assumed and unknown apart', () => {
    expect(basis(machineOf('back'))).toEqual([
      'This assumes that it cleaned itself at 18:10, as it was told to. Nobody can see that.',
    ])
    expect(lead(machineOf('corner'))).toBe(
      'Nobody can tell the night: the air of its room is not measured now.',
    )
    expect(basis(machineOf('corner'))?.[0]).toContain(
      'Nobody saw when the colour ink and the white ink were last wetted',
    )
    // Ink of which nothing is known says nothing of the night: the air does.
    expect(lead(withWhite({ basis: 'unknown', passesLimit: time(262, 350, 470) }))).toContain('The air')
  })

  it('NIGHT-WORDS-7 with several heads an ink is named with its own', () => {
    const calm = machineOf('window')
    const second = calm.inks.map((i) => ({ ...i, headTitle: 'Head 2', usedPct: i.usedPct / 2, ahead: [] }))
    expect(lead({ ...calm, inks: [...calm.inks, ...second] })).toContain('the white ink of Head 1')
  })

  it('NIGHT-WORDS-8 without inks the air is told: that it holds, when it crosses, or that it is and stays below', () => {
    const bare = { ...machineOf('window'), inks: [] }
    const band = (...middles: number[]): NonNullable<MachineView['night']>['humidityPct'] =>
      middles.map((m, at) => [SHOP_NOW_MS + at * 2 * HOUR, m - 2, m, m + 2])
    const withAir = (nowPct: number, ...middles: number[]) => ({
      ...bare,
      humidity: { ...bare.humidity, nowPct },
      night: bare.night && { ...bare.night, humidityPct: band(...middles) },
    })
    expect(lead(withAir(45, 45, 44, 45))).toBe(
      'The air is likely to stay above its limit of 40 %RH till 08:30.',
    )
    expect(lead(withAir(45, 45, 41, 45))).toBe(
      'The air is likely to hold till 08:30, but may fall below its limit of 40 %RH from 00:00 on.',
    )
    expect(lead(withAir(45, 45, 42, 39))).toBe(
      'As things stand the air falls below its limit of 40 %RH about 02:00.',
    )
    expect(lead(withAir(36, 36, 38, 41))).toBe(
      'As things stand the air is back above its limit of 40 %RH about 02:00.',
    )
    expect(lead(withAir(36, 35, 33, 35))).toBe(
      'As things stand the air stays below its limit of 40 %RH till 08:30.',
    )
  })

  it('NIGHT-WORDS-9 a machine that was never measured has no night at all', () => {
    const bare = { ...machineOf('corner'), inks: [], humidity: { limitPct: 40, nowPct: null, runs: [] } }
    expect(nightWords(bare, board)).toBeNull()
  })
})

describe('a machine in words', () => {
  it('STATE-WORDS-1 what is particular about it now is said, and nothing when nothing is', () => {
    const words = (id: string) => stateWords(machineOf(id), board)
    expect(words('roll')).toEqual(['Probably off its cap'])
    expect(words('right')).toEqual(['Being serviced until 22:24'])
    expect(words('stored')).toEqual(['Out of service'])
    expect(words('window')).toEqual([])
    expect(stateWords({ ...machineOf('window'), cap: 'uncapped' }, board)).toEqual(['Off its cap'])
  })

  it('STATE-WORDS-2 servicing that is over is no longer said, and planned work says when it ends', () => {
    expect(stateWords({ ...machineOf('right'), servicedUntilMs: SHOP_NOW_MS }, board)).toEqual([])
    const work = { id: 'q', kind: 'powerWork' as const, machineId: null, fromMs: SHOP_NOW_MS - HOUR, toMs: SHOP_NOW_MS + 2 * HOUR, note: '' } // prettier-ignore
    expect(stateWords(machineOf('window'), { ...board, quiets: [work] })).toEqual([
      'Planned work on the power until 00:10',
    ])
    const later = { ...work, fromMs: SHOP_NOW_MS + HOUR }
    expect(stateWords(machineOf('window'), { ...board, quiets: [later] })).toEqual([])
  })

  it('STATE-WORDS-3 trouble while the shop is open is for today, and not for before opening', () => {
    const open = openBoard()
    expect(standingWord(machineOf('back', open), open.site)).toBe('Today')
    expect(standingWord(machineOf('back'), board.site)).toBe('Before opening')
    expect(standingWord(machineOf('roll'), board.site)).toBe('Act now')
    // A silent sensor is for today too, but what is not known stays not known.
    expect(standingWord(machineOf('corner'), board.site)).toBe('Not known')
  })

  it('URGENCY-WORD-1 to 3 one word for how much time there is: none says "today" at night, or "opening" by day', () => {
    const words = (site: typeof board.site): string[] =>
      (['now', 'beforeOpening', 'today'] as const).map((urgency) => urgencyWord(urgency, site))
    expect(words(openBoard().site)).toEqual(['Now', 'Today', 'Today'])
    expect(words(board.site)).toEqual(['Now', 'Before opening', 'When open'])
    expect(words({ ...board.site, nextChangeMs: null })).toEqual(['Now', 'Today', 'Today'])
  })

  it('STATE-WORDS-4 how power states are told apart is said for every source, and not where nothing is known', () => {
    const words = ['roll', 'window', 'right', 'back'].map((id) => bandsWords(machineOf(id).power))
    expect(words).toEqual(['bands learned', 'bands told', 'starting bands', 'on and off only'])
    expect(bandsWords({ now: 'unknown', spans: [], bandsFrom: null })).toBeNull()
  })
})

describe('the bottle in words', () => {
  const made = (rest: Parameters<typeof bottle>[2]) =>
    bottle('x', { past: { fromMs: SHOP_NOW_MS - HOUR, toMs: SHOP_NOW_MS, values: [50, 60] } }, rest)

  it('BOTTLE-WORDS-1 when it will be full is said with the span, as far as there is one', () => {
    expect(fullWords(made({ reachesFull: time(22 * 60, 38 * 60, 61 * 60) }), NOW)).toBe(
      'Full about Sat 12:00 (Fri 20:00 to Sun 11:00)',
    )
    expect(fullWords(made({ reachesFull: time(22 * 60, 38 * 60, null) }), NOW)).toBe(
      'Full about Sat 12:00 (from Fri 20:00 on)',
    )
    expect(fullWords(made({ reachesFull: time(22 * 60, null, null) }), NOW)).toBe(
      'May be full from Fri 20:00 on',
    )
    expect(fullWords(made({ reachesFull: time(null, null, null) }), NOW)).toBeNull()
    expect(fullWords(made({ fillPct: 96, reachesFull: time(0, 0, 0) }), NOW)).toBe('Full now')
  })

  it('BOTTLE-WORDS-2 a bottle off its scale is said to be so, and a new empty weight is offered', () => {
    expect(standingWords(made({ standing: 'lifted' }))).toBe('Not on its scale')
    expect(standingWords(made({}))).toBeNull()
    expect(plain(tareWords(made({ newTareKg: 0.262 })))).toMatch(
      /^When last emptied it still weighed 0\.26 kg\. Take that as/,
    )
    expect(tareWords(made({}))).toBeNull()
  })
})

describe('water', () => {
  const room = {
    ...board.rooms[1],
    targetPct: 45,
    waterToLiftKg: 2.1,
    waterToHoldKgPerH: 0.4,
  } as BoardView['rooms'][number]

  it('WATER-1 the water that lifts the air and holds it is told in the unit that the owner likes', () => {
    expect(plain(waterWords(room, 'mL'))).toBe(
      '2.1 L of water lift its air to 45 %RH once; holding it takes about 0.4 L an hour.',
    )
    expect(plain(waterWords(room, 'fl oz'))).toContain('71 fl oz of water')
    expect(plain(waterWords({ ...room, waterToLiftKg: 0.04 }, 'mL'))).toContain('40 mL of water lift')
  })

  it('WATER-2 says no more than is known, and nothing where no water is needed', () => {
    expect(plain(waterWords({ ...room, waterToHoldKgPerH: null }, 'mL'))).toBe(
      '2.1 L of water lift its air to 45 %RH once.',
    )
    expect(waterWords({ ...room, waterToHoldKgPerH: 0 }, 'mL')).toContain('then it holds by itself')
    expect(plain(waterWords({ ...room, waterToLiftKg: 0 }, 'mL'))).toBe(
      'Holding 45 %RH takes about 0.4 L of water an hour.',
    )
    expect(waterWords({ ...room, waterToLiftKg: 0, waterToHoldKgPerH: 0 }, 'mL')).toBeNull()
    expect(waterWords({ ...room, waterToLiftKg: null, waterToHoldKgPerH: null }, 'mL')).toBeNull()
  })
})

describe('what a person says', () => {
  const labels = (machine: MachineView, of: BoardView = board) => sayables(machine, of).map((s) => s.label)

  it('SAY-1 a machine at rest can be told of every act, once each', () => {
    expect(labels(machineOf('window'))).toEqual([
      'I cleaned the heads',
      'I did a short cleaning',
      'I printed',
      'I stirred the white',
      'I am working on it',
      'The head is off its cap',
      'It stopped on an error',
      'It runs again',
      'Out of service until I say so',
    ])
  })

  it('SAY-2 what is said already is not offered again, but its end is', () => {
    expect(labels(machineOf('right'))).toContain('I am done; the head is capped')
    expect(labels(machineOf('right'))).not.toContain('I am working on it')
    const done = sayables(machineOf('right'), board).find((s) => s.label.startsWith('I am done'))
    expect(done?.act).toEqual({ kind: 'servicing', servicing: false })
    expect(labels(machineOf('stored'))).toContain('It is back in service')
    expect(labels({ ...machineOf('window'), cap: 'uncapped' })).toContain('The head is on its cap')
    expect(labels({ ...machineOf('window'), cap: 'uncapped' })).not.toContain('The head is off its cap')
    // A guess may be wrong either way.
    expect(labels(machineOf('roll'))).toEqual(
      expect.arrayContaining(['The head is on its cap', 'The head is off its cap']),
    )
  })

  it('SAY-3 white is stirred only where there is white, or nobody said what there is', () => {
    const colourOnly = machineOf('window').inks.filter((i) => i.ink === 'colour')
    expect(labels({ ...machineOf('window'), inks: colourOnly })).not.toContain('I stirred the white')
    expect(labels({ ...machineOf('window'), inks: [] })).toContain('I stirred the white')
  })

  it('SAY-4 a stop on an error that is known can only be ended', () => {
    const { alarm } = machineOf('roll')
    const stopped = {
      ...machineOf('roll'),
      alarm: alarm && { ...alarm, condition: 'stoppedOnError' as const },
    }
    expect(labels(stopped)).toContain('It runs again')
    expect(labels(stopped)).not.toContain('It stopped on an error')
  })

  it('SAY-5 each act goes where the monitor takes it, with what it needs', async () => {
    const calls: unknown[] = []
    const taken =
      (name: string) =>
      (...given: unknown[]) => {
        calls.push([name, ...given])
        return Promise.resolve({ ok: true as const, value: null })
      }
    const api: SayingApi = {
      logCare: taken('care'),
      sayServicing: taken('servicing'),
      sayCap: taken('cap'),
      sayErrorStop: taken('errorStop'),
      planQuiet: taken('quiet'),
      endQuiet: taken('endQuiet'),
    }
    const acts: MachineAct[] = [
      { kind: 'care', care: 'cleaned' },
      { kind: 'servicing', servicing: true },
      { kind: 'cap', capped: false },
      { kind: 'errorStop', stopped: true },
      { kind: 'outOfService' },
      { kind: 'inService', quietId: 'q1' },
    ]
    for (const act of acts) await sayTo(api, { machineId: 'roll', act, nowMs: 5 })
    expect(calls).toEqual([
      ['care', 'roll', { care: 'cleaned', channelGroupIds: [] }],
      ['servicing', 'roll', true],
      ['cap', 'roll', false],
      ['errorStop', 'roll', true],
      ['quiet', { kind: 'outOfService', machineId: 'roll', fromMs: 5, toMs: null, note: '' }],
      ['endQuiet', 'q1'],
    ])
  })

  it('SAY-6 what was taken brings a new board, and what was refused a sentence with the cure', async () => {
    let loads = 0
    let isTaken = true
    const failure = { kind: 'refused', status: 503, title: 'The monitor cannot write now', detail: 'free some disk space', errors: [] } as const // prettier-ignore
    const say = () =>
      Promise.resolve(isTaken ? { ok: true as const, value: null } : { ok: false as const, failure })
    const model = createBoardModel(
      {
        board: () => (loads++, Promise.resolve({ ok: true, value: board })),
        acknowledge: say,
        logCare: say,
        sayServicing: say,
        sayCap: say,
        sayErrorStop: say,
        planQuiet: say,
        endQuiet: say,
      },
      createClock(() => SHOP_NOW_MS),
    )
    expect(await model.say('roll', { kind: 'care', care: 'printed' })).toBe('')
    expect(loads).toBe(1)
    isTaken = false
    expect(await model.say('roll', { kind: 'care', care: 'printed' })).toBe(
      'The monitor cannot write now. Free some disk space.',
    )
    expect(loads).toBe(1)
  })
})

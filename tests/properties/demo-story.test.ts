import { describe, expect, it } from 'vitest'
import { createSimulatedShop } from '../../sensors/simulator/create-shop.ts'
import { demoIncidents } from '../../sensors/simulator/demo-story.ts'
import { demoPlan } from '../../sensors/simulator/shop-plan.ts'
import type { Effect } from '../../services/core/model/effect.ts'
import type { Episode } from '../../services/core/model/episode.ts'
import type { InputBody } from '../../services/core/model/input.ts'
import { openingCalendar } from '../../services/core/model/opening-hours.ts'
import { liveThrough, replayLog, settingsInput } from '../parts/kernel-run.ts'
import { createMemoryBookOfRecord } from '../parts/memory-book-of-record.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE

/** Every hour of a day through the week and the year, and nights on which clocks change, in four zones. */
const ZONES = ['Europe/Brussels', 'America/New_York', 'Australia/Lord_Howe', 'Asia/Kathmandu']
const clockChanges = [
  '2026-03-29T00:59:00Z',
  '2026-03-29T06:35:00Z',
  '2026-10-25T01:10:00Z',
  '2026-10-25T07:40:00Z',
  '2026-03-08T07:01:00Z',
  '2026-11-01T06:30:00Z',
  '2026-04-04T15:01:00Z',
  '2026-10-03T15:29:00Z',
]
const edges = [
  '2026-11-25T07:31:00Z',
  '2026-11-25T16:59:30Z',
  '2026-11-25T17:00:30Z',
  '2026-11-28T11:59:00Z',
  '2026-11-28T12:01:00Z',
  '2026-11-30T07:33:00Z',
]
const spread = Array.from({ length: 34 }, (_, n) =>
  new Date(Date.UTC(2026, (n * 5) % 12, 1 + ((n * 11) % 28), (n * 7) % 24, (n * 13) % 60)).toISOString(),
)
const starts = [...clockChanges, ...edges, ...spread].map((text, n) => ({
  text,
  timeZone: ZONES[n % ZONES.length] ?? 'UTC',
  seed: n,
}))

function story({ text, timeZone, seed }: { text: string; timeZone: string; seed: number }) {
  const nowMs = Date.parse(text)
  const plan = demoPlan({ timeZone })
  const shop = createSimulatedShop({
    seed,
    plan,
    startMs: nowMs - 40 * HOUR,
    incidents: demoIncidents(nowMs, plan),
  })
  shop.advanceTo(nowMs, { cadenceMs: 2 * MINUTE })
  const bySensor = new Map<string, { atMs: number; value: number }[]>()
  for (const { nodeId, samples } of shop.takeSamples()) {
    for (const { channel, atMs, value } of samples) {
      const id = `${nodeId}/${channel}`
      bySensor.set(id, [...(bySensor.get(id) ?? []), { atMs, value: Number(value) }])
    }
  }
  const past12h = (id: string) => (bySensor.get(id) ?? []).filter((s) => s.atMs >= nowMs - 12 * HOUR)
  return { nowMs, plan, past12h, calendar: openingCalendar(plan.settings) }
}

const met = { open: 0, closed: 0, stillOff: 0, restored: 0 }

describe('the demo story is visible at any hour', () => {
  it.each(starts)('$text in $timeZone', (start) => {
    const { nowMs, plan, past12h, calendar } = story(start)
    const open = calendar.isOpenAt(nowMs)
    met[open ? 'open' : 'closed']++

    // The back room is dry now, and has been for about 50 minutes.
    const air = past12h('back-air/humidity')
    const lastWell = air.findLast((s) => s.value >= 40)
    expect(nowMs - (lastWell?.atMs ?? 0)).toBeGreaterThan(42 * MINUTE)
    expect(nowMs - (lastWell?.atMs ?? 0)).toBeLessThan(57 * MINUTE)
    expect(air.filter((s) => s.value < 40 && s.atMs < (lastWell?.atMs ?? 0))).toEqual([])

    // Its machine had no power in closed hours: it is still off when the shop is closed, back on soon after opening.
    const off = past12h('back-wall/power').filter((s) => s.value < 2)
    const offMinutes = off.length * 2
    expect(offMinutes).toBeGreaterThanOrEqual(8)
    expect(past12h('back-wall/contact').filter((s) => s.value === 0).length).toBe(off.length)
    const offNow = (past12h('back-wall/power').at(-1)?.value ?? NaN) < 2
    if (!open) expect(offNow).toBe(true)
    else expect(off.filter((s) => !calendar.isOpenAt(s.atMs)).length * 2).toBeGreaterThan(50)
    met[offNow ? 'stillOff' : 'restored']++

    // One bottle is near its capacity.
    const bottle = plan.bottles.find((b) => b.id === 'roll-waste')
    const kg = past12h('roll-bench/bottle').at(-1)?.value ?? NaN
    const fillPct =
      ((kg - (bottle?.tareKg ?? NaN)) / (bottle?.densityKgPerL ?? NaN) / (bottle?.capacityMl ?? NaN)) * 1e5
    expect(fillPct).toBeGreaterThan(81.5)
    expect(fillPct).toBeLessThan(87)

    // All is well with the machine at the window: power, air and bottle, and nothing is dark.
    expect(Math.min(...past12h('window-bench/power').map((s) => s.value))).toBeGreaterThan(2)
    expect(Math.min(...past12h('floor-air/humidity').map((s) => s.value))).toBeGreaterThan(40)
    expect(Math.max(...past12h('floor-air/humidity').map((s) => s.value))).toBeLessThan(65)
    expect(
      past12h('window-bench/bottle').filter((s) => s.value > 0.128 + 1.5 * 1.05 * 0.6).length,
    ).toBeLessThan(3)
    for (const { id } of plan.sensors) expect(past12h(id).length).toBeGreaterThanOrEqual(359)
    expect(Math.min(...past12h('roll-bench/power').map((s) => s.value))).toBeGreaterThan(2)
  })

  it('and the start times met an open and a closed shop, a machine still off and one back on', () => {
    expect(starts.length).toBe(48)
    for (const count of Object.values(met)) expect(count).toBeGreaterThan(3)
  })
})

/** What the monitor makes of the last 36 hours before `text`. */
function episodesAt(text: string): { nowMs: number; episodes: readonly Episode[] } {
  const nowMs = Date.parse(text)
  const plan = demoPlan()
  const fromMs = nowMs - 36 * HOUR
  const shop = createSimulatedShop({
    seed: 1,
    plan,
    // Far enough back that every bottle was emptied since, so that none is brought to its level by pouring out.
    startMs: nowMs - 40 * 24 * HOUR,
    incidents: demoIncidents(nowMs, plan),
  })
  shop.advanceTo(fromMs, { cadenceMs: 2 * MINUTE })
  shop.takeSamples()
  const arrivals: { receivedMs: number; body: InputBody }[] = [
    { receivedMs: fromMs, body: settingsInput(plan.settings, fromMs) },
  ]
  for (let atMs = fromMs + 1; atMs <= nowMs; atMs += MINUTE) {
    shop.advanceTo(atMs, { cadenceMs: MINUTE })
    for (const { nodeId, samples } of shop.takeSamples()) {
      const readings = samples.map((s) => ({
        sensorId: `${nodeId}/${s.channel}`,
        quantity: s.quantity,
        atMs: s.atMs,
        value: Number(s.value),
      }))
      readings.sort((a, b) => a.atMs - b.atMs || (a.sensorId < b.sensorId ? -1 : 1))
      arrivals.push({
        receivedMs: atMs,
        body: { type: 'readings', atMs: readings.at(-1)?.atMs ?? atMs, receivedMs: atMs, nodeId, readings },
      })
    }
  }
  const log = liveThrough(createMemoryBookOfRecord(), arrivals, nowMs)
  const whole = { chunkOf: () => 1000, restartAfter: () => false }
  const { effects } = replayLog(createMemoryBookOfRecord(), log, whole)
  return { nowMs, episodes: lastWords(effects.flat()) }
}

/** Episodes as the last effect on each left them. */
function lastWords(effects: readonly Effect[]): readonly Episode[] {
  const episodes = new Map<string, Episode>()
  for (const effect of effects) {
    if (effect.type === 'episodeCorrected') episodes.delete(effect.previousId)
    if (effect.type === 'episodeWithdrawn') episodes.delete(effect.episodeId)
    if ('episode' in effect) episodes.set(effect.episode.id, effect.episode)
  }
  return [...episodes.values()]
}

describe('the monitor sees the demo story', () => {
  it.each(['2026-11-25T22:15:00Z', '2026-11-25T10:15:00Z'])('at %s', (text) => {
    const { nowMs, episodes } = episodesAt(text)
    const found = episodes.filter((e) => e.toMs === null || e.toMs > nowMs - 12 * HOUR)
    const facts = found.map((e) => `${e.condition} ${e.subject.kind}:${e.subject.id}`)
    expect(new Set(facts)).toEqual(
      new Set(['airDry room:back-room', 'powerLost machine:sheet-back', 'bottleNear bottle:roll-waste']),
    )
    expect(found.find((e) => e.condition === 'airDry')?.toMs).toBeNull()
    expect(found.find((e) => e.condition === 'bottleNear')?.toMs).toBeNull()
    expect(found.find((e) => e.condition === 'powerLost')?.shopClosed).toBe(true)
  })
})

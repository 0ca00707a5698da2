import { askingDueMs, nextAsked, takeTell, type Tell } from '../alarms/telling/ask.ts'
import { askingWords, manyText, overWords } from '../alarms/telling/notice-words.ts'
import type { Asking } from '../alarms/telling/telling-state.ts'
import { troubleText } from '../alarms/telling/trouble-text.ts'
import type { Alarm } from '../model/alarm.ts'
import { followMains, mainsBackDueMs, waitsForMachines } from './mains-back.ts'
import { isManyAtOnce } from './many-at-once.ts'
import {
  alarmsOf,
  fromMsOf,
  isCalling,
  isOver,
  queueAbout,
  telling,
  tellThose,
  type TellingRun,
} from './telling-run.ts'

/** Ends askings whose alarms are over, and stops those that were answered or can wait. */
export function followAskings(run: TellingRun): void {
  for (const asking of telling(run).askings.values()) {
    const alarms = alarmsOf(run, asking)
    followMains(run, asking)
    if (alarms.every(isOver)) {
      asking.stopped = true
      if (waitsForMachines(run, asking)) continue
      tellOver(run, asking, alarms)
      telling(run).askings.delete(asking.id)
    } else if (!alarms.some(isCalling) || (asking.many && alarms.some((a) => a.state === 'acknowledged'))) {
      asking.stopped = true
    }
  }
}

/** Every alarm that has begun to call since the last step is asked about: anew, together with others, or by itself. */
export function beginAskings(run: TellingRun): void {
  const { calling, askings } = telling(run)
  const now = [...run.state.shop.alarms.values()].filter(isCalling)
  const risen = now.filter((a) => !calling.has(a.id))
  calling.clear()
  for (const { id } of now) calling.add(id)
  const fresh = risen.filter((alarm) => {
    const own = [...askings.values()].find((a) => a.alarmIds.includes(alarm.id))
    return !own || !askAgain(own, alarm)
  })
  if (fresh.length === 0) return
  if (isManyAtOnce(run, fresh.length)) return askTogether(run, fresh)
  for (const alarm of fresh) addAsking(run, [alarm])
}

/** Does its own asking ask about it again? One about many that was answered lets it go. */
function askAgain(own: Asking, { id }: Alarm): boolean {
  if (own.alarmIds.length > 1) {
    if (own.stopped) own.alarmIds = own.alarmIds.filter((other) => other !== id)
    return !own.stopped
  }
  Object.assign(own, { stopped: false, secondRound: false, allAsked: false, asked: [] })
  return true
}

/** What comes while many things are asked about at once is told with the next word about them. */
function askTogether(run: TellingRun, fresh: readonly Alarm[]): void {
  const { askings } = telling(run)
  const goesOn = [...askings.values()].find((a) => a.many && askingDueMs(a, run.world) < Infinity)
  if (goesOn) {
    goesOn.alarmIds.push(...fresh.map((a) => a.id))
    return
  }
  const single = [...askings.values()].filter((a) => !a.many && !a.stopped)
  const before = single.flatMap((a) => alarmsOf(run, a))
  const asking = addAsking(run, [...before, ...fresh])
  for (const { id, told } of single) {
    askings.delete(id)
    for (const { contactId } of told) {
      if (!asking.told.some((t) => t.contactId === contactId)) asking.told.push({ contactId, notices: 0 })
    }
  }
}

function addAsking(run: TellingRun, alarms: readonly Alarm[]): Asking {
  const state = telling(run)
  const id = `ask-${state.nextAsking++}`
  const many = alarms.length > 1
  const [first] = alarms
  const asking: Asking = {
    id,
    topic: many || !first ? `many|${id}` : `alarm|${first.id}`,
    alarmIds: alarms.map((a) => a.id),
    many,
    stopped: false,
    secondRound: false,
    allAsked: false,
    asked: [],
    told: [],
    what: '',
    fromMs: Math.min(run.nowMs, ...alarms.map((a) => fromMsOf(run, a))),
    sinceMs: run.nowMs,
    mainsOut: false,
    mainsBackMs: null,
    mainsBackDone: false,
  }
  state.askings.set(id, asking)
  return asking
}

/** Tells whoever is to be told now. */
export function askOn(run: TellingRun): void {
  for (const asking of telling(run).askings.values()) {
    for (let tell = takeTell(asking, run.world); tell; tell = takeTell(asking, run.world)) {
      queueTell(run, asking, tell)
    }
  }
}

function queueTell(run: TellingRun, asking: Asking, { contactId, kind }: Tell): void {
  const { state, nowMs, world } = run
  const { settings } = state
  const alarms = alarmsOf(run, asking).filter(isCalling)
  const [first] = alarms
  if (!first) return
  const many = asking.many && alarms.length > 1
  const words = askingWords({
    kind,
    alarms,
    many,
    settings,
    nowMs,
    proven: world.provenMs(contactId) !== null,
    next: nextAsked(asking, world),
  })
  asking.what = many ? manyText(alarms.length) : troubleText(first, settings)
  for (const alarm of alarms) {
    const night = telling(run).night.get(alarm.id)
    if (night) night.told = true
  }
  queueAbout(run, asking, { contactId, kind, alarmId: first.id, urgency: 'high', words, asksForReply: true })
}

function tellOver(run: TellingRun, asking: Asking, alarms: readonly Alarm[]): void {
  const { state, nowMs } = run
  const words = overWords({
    what: asking.what,
    fromMs: asking.fromMs,
    toMs: asking.mainsBackDone ? nowMs : Math.max(asking.fromMs, ...alarms.map((a) => a.returnedMs ?? nowMs)),
    mainsOut: asking.mainsOut,
    withdrawn: alarms.length > 0 && alarms.every((a) => a.revision === 'withdrawn'),
    settings: state.settings,
    nowMs,
  })
  tellThose(run, asking, { alarmId: alarms[0]?.id ?? null, words })
}

/** When the next word about any of them is due, or Infinity. */
export function askingsDueMs(run: TellingRun): number {
  let soonest = Infinity
  for (const asking of telling(run).askings.values()) {
    soonest = Math.min(soonest, askingDueMs(asking, run.world), mainsBackDueMs(asking))
  }
  return soonest
}

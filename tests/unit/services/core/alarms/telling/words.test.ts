import { describe, expect, it } from 'vitest'
import { taskAdvice } from '../../../../../../services/core/advise/task-advice.ts'
import {
  askingWords,
  mainsBackWords,
  overWords,
  type AskingMaterial,
  type NoticeWords,
} from '../../../../../../services/core/alarms/telling/notice-words.ts'
import {
  closingWords,
  morningWords,
  testWords,
} from '../../../../../../services/core/alarms/telling/report-words.ts'
import { troubleText } from '../../../../../../services/core/alarms/telling/trouble-text.ts'
import type { Alarm } from '../../../../../../services/core/model/alarm.ts'
import { CONDITIONS } from '../../../../../../services/core/model/episode.ts'
import { settingsSchema } from '../../../../../../services/core/model/settings.ts'
import { testSettings } from '../../../../../parts/shop-settings.ts'
import { alarmOf, everyEpisodeOf, NIGHT, shopInFahrenheit, UNSPEAKABLE } from '../every-condition.ts'

const MIN = 60_000
const SHOPS = [testSettings(), shopInFahrenheit()]
const BO = settingsSchema.shape.contacts.unwrap().element.parse({ id: 'bo', title: 'Bo' })

/** What would tell somebody to bring power back. Of a humidifier, and as "before you", the words are meant otherwise. */
const BRINGS_POWER_BACK = [
  /\b(restore|bring|put|turn|switch|flip|push|plug)\b[^.:;]{0,40}\b(power|mains|breaker|fuse|residual-current device)\b[^.:;]{0,25}\b(on|back|in|again)\b/i,
  /\b(restore|reset)\b/i,
  /\bpower\b[^.:;]{0,12}\bback on\b/i,
  /(?<!before you |Fill the humidifier, )\b(switch|turn) (it|them|the machine|the power|the mains)( back)? on\b/i,
]
const isUnspeakable = (text: string): boolean =>
  UNSPEAKABLE.test(text) || BRINGS_POWER_BACK.some((pattern) => pattern.test(text))

const everyAlarm = (): { alarm: Alarm; settings: (typeof SHOPS)[number] }[] =>
  SHOPS.flatMap((settings) =>
    CONDITIONS.flatMap((c) => everyEpisodeOf(c).map((e) => ({ alarm: alarmOf(e, settings), settings }))),
  )

const asked = (alarm: Alarm, change: Partial<AskingMaterial>): NoticeWords =>
  askingWords({
    kind: 'alarm',
    alarms: [alarm],
    many: false,
    settings: SHOPS[0] ?? testSettings(),
    nowMs: NIGHT,
    proven: true,
    next: null,
    ...change,
  })

describe('what people are told', () => {
  it('WORDS-1 the title stands alone: what and where, in a line', () => {
    for (const { alarm, settings } of everyAlarm()) {
      const { title } = asked(alarm, { settings })
      expect(title, alarm.condition).toBe(troubleText(alarm, settings))
      expect(title).toMatch(/^[A-Z].{4,70}$/)
      expect(title).toMatch(/: /)
    }
  })

  it('WORDS-2 the text has all four parts with their cautions, and who is asked next or why nobody is', () => {
    for (const { alarm, settings } of everyAlarm()) {
      const next = { contact: BO, atMs: NIGHT + 10 * MIN, again: false }
      const { body } = asked(alarm, { settings, next })
      for (const part of [alarm.cause, alarm.consequence, alarm.action, alarm.timeToAct]) {
        expect(body).toContain(part)
      }
      expect(body).toMatch(/Answer if you are on it: else Bo is asked at /)
      expect(asked(alarm, { settings, proven: false }).body).toContain('Replies cannot reach the shop')
      expect(asked(alarm, { settings, proven: false }).body).not.toContain('Answer if')
    }
  })

  it('WORDS-3 what is over says what, from when to when; what was withdrawn turned out otherwise', () => {
    const material = {
      what: 'Roll 60: power lost while printing',
      fromMs: NIGHT - 40 * MIN,
      toMs: NIGHT,
      mainsOut: false,
      settings: testSettings(),
      nowMs: NIGHT,
    }
    const over = overWords({ ...material, withdrawn: false })
    expect(overWords({ ...material, mainsOut: true, withdrawn: false }).body).toContain('The mains is back')
    expect(over.title).toBe('Over: Roll 60: power lost while printing')
    expect(over.body).toContain('from 21:30 to 22:10, 40 min')
    expect(overWords({ ...material, withdrawn: true }).title).toMatch(/^It turned out otherwise: Roll 60/)
  })

  it('nothing that anybody is told brings power back, or calls a place safe', () => {
    const texts: string[] = []
    const add = (...words: (NoticeWords | null)[]): void => {
      for (const w of words) if (w) texts.push(w.title, ...w.body.split('\n'))
    }
    for (const { alarm, settings } of everyAlarm()) {
      const task = taskAdvice(alarm, settings)
      texts.push(alarm.title, alarm.cause, alarm.consequence, alarm.action, alarm.timeToAct)
      texts.push(task.title, task.why, ...task.steps, ...task.cautions)
      for (const kind of ['alarm', 'reminder', 'escalation'] as const) {
        add(asked(alarm, { settings, kind }), asked(alarm, { settings, kind, proven: false }))
        add(asked(alarm, { settings, kind, many: true, alarms: [alarm, alarm] }))
      }
      const span = { fromMs: NIGHT - MIN, toMs: NIGHT, settings, nowMs: NIGHT }
      const what = troubleText(alarm, settings)
      for (const mainsOut of [true, false]) {
        add(overWords({ ...span, what, mainsOut, withdrawn: false }))
        add(overWords({ ...span, what, mainsOut, withdrawn: true }))
      }
      const night = {
        alarmId: alarm.id,
        title: what,
        fromMs: NIGHT,
        overMs: null,
        told: true,
        withdrawn: false,
      }
      add(morningWords({ night: [night], waitingTasks: 2, settings, nowMs: NIGHT }))
    }
    for (const settings of SHOPS) {
      add(closingWords(settings, { closedMs: NIGHT, nowMs: NIGHT }), testWords(settings))
      for (const stillOff of [['Roll 60'], ['Roll 60', 'Sheet 30'], ['A', 'B', 'C', 'D']]) {
        add(mainsBackWords({ stillOff, fromMs: NIGHT, backMs: NIGHT, settings, nowMs: NIGHT }))
      }
    }
    expect(texts.length).toBeGreaterThan(5000)
    expect([...new Set(texts.filter(isUnspeakable))]).toEqual([])
  })

  it('and such words would be found', () => {
    for (const text of [
      'Switch the breaker back on.',
      'Restore the power.',
      'Bring the power back at the shop',
      'Turn the mains on again.',
      'Then switch it on as its manual says.',
      'The place is safe.',
      'Reset the residual-current device.',
      'Push the fuse back in.',
    ]) {
      expect(isUnspeakable(text), text).toBe(true)
    }
  })

  it('REPORT-1 what somebody was called for stands first; REPORT-2 a calm night says nothing', () => {
    const entry = { fromMs: NIGHT - 60 * MIN, overMs: NIGHT - 30 * MIN, told: false, withdrawn: false }
    const report = (change: object) =>
      morningWords({ night: [], waitingTasks: 0, settings: testSettings(), nowMs: NIGHT, ...change })
    expect(report({})).toBeNull()
    expect(report({ waitingTasks: 1 })?.title).toBe('Good morning: 1 task waits')
    const night = [
      { ...entry, alarmId: 'a', title: 'Print floor: air too dry' },
      { ...entry, alarmId: 'b', title: 'Waste bottle: full', told: true, overMs: null },
      { ...entry, alarmId: 'c', title: 'Roll 60: power lost', withdrawn: true },
    ]
    expect(report({ night, waitingTasks: 2 })).toEqual({
      title: 'Good morning: called for 1 thing, 1 on record, 2 tasks wait',
      body: [
        'Somebody was called for: Waste bottle: full (since 21:10, not over).',
        'On record: Print floor: air too dry (21:10 to 21:40).',
        'Taken back, since it turned out otherwise: 1.',
        'Check the nozzles before the first print. The morning report tells the rest.',
      ].join('\n'),
    })
  })
})

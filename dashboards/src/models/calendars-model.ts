import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { CalendarFeed, WorkApi } from '../api/work-api.ts'

export interface CalendarsModel {
  readonly calendars: ReadonlySignal<readonly CalendarFeed[]>
  /** The path of the address just made: kept here only until it is put away. */
  readonly made: ReadonlySignal<{ readonly title: string; readonly path: string } | null>
  readonly trouble: ReadonlySignal<string>
  readonly announcement: ReadonlySignal<string>
  readonly load: () => Promise<void>
  readonly add: (title: string) => Promise<void>
  readonly remove: (calendar: CalendarFeed) => Promise<void>
  readonly putAway: () => void
  readonly forget: () => void
}

type CalendarsApi = Pick<WorkApi, 'calendars' | 'addCalendar' | 'removeCalendar'>

/** Secret addresses that calendars read tasks and routines from. */
export function createCalendarsModel(api: CalendarsApi): CalendarsModel {
  const calendars = signal<readonly CalendarFeed[]>([])
  const made = signal<{ title: string; path: string } | null>(null)
  const trouble = signal('')
  const announcement = signal('')

  const take = <T>(answer: Answer<T>, then: (value: T) => void): void => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    if (answer.ok) then(answer.value)
  }
  const load = async (): Promise<void> => take(await api.calendars(), (a) => (calendars.value = a.calendars))
  return {
    calendars,
    made,
    trouble,
    announcement,
    load,
    add: async (title) => {
      const answer = await api.addCalendar(title.trim())
      if (answer.ok) await load()
      take(answer, ({ path }) => (made.value = { title: title.trim(), path }))
      announcement.value = ''
    },
    remove: async ({ id, title }) => {
      const answer = await api.removeCalendar(id)
      await load()
      take(answer, () => {
        announcement.value = `The address for ${title} is no longer good.`
        if (made.value?.title === title) made.value = null
      })
    },
    putAway: () => {
      made.value = null
    },
    forget: () => {
      calendars.value = []
      made.value = null
      trouble.value = announcement.value = ''
    },
  }
}

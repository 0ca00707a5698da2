import { RRuleTemporal } from 'rrule-temporal'
import { Temporal } from 'temporal-polyfill'

/** When something comes again. */
export interface Recurrence {
  readonly rule: string
  /** Time of day, `HH:MM`, on the clock of `timeZone`. */
  readonly time: string
  /** First day, `YYYY-MM-DD`. */
  readonly startsOn: string
}

/** Gives the first instant after `afterMs` at which it comes again; null when it does no more. */
export type NextOccurrence = (afterMs: number) => number | null

/**
 * A recurrence rule (RFC 5545, section 3.3.10) whose frequency is days or longer, at one time of day.
 *
 * RECUR-1 the rule names days, and each day has the time of day once. So a clock change neither moves the time of the
 *         days after it nor leaves one out.
 * RECUR-2 a time that a clock change skips means the instant after the gap; one that comes twice means the first (RFC
 *         5545, section 3.3.5).
 * RECUR-3 UNTIL as a date names the last day; as a UTC time, the last instant.
 *
 * The library is asked for days in UTC, where no day is longer than another: asked for times in a zone, it carries a time
 * that was moved out of a gap on to all days after it (seen with rrule-temporal 1.6.0).
 */
export function createOccurrences(recurrence: Recurrence, timeZone: string): NextOccurrence {
  const { time, startsOn } = recurrence
  const { rule, isBeyond } = splitUntil(recurrence.rule)
  const nextDay = createDays(new RRuleTemporal({ rruleString: textOf(rule, startsOn) }))
  const plainTime = Temporal.PlainTime.from(time)
  return (afterMs) => {
    const from = Temporal.Instant.fromEpochMilliseconds(Math.floor(afterMs)).toZonedDateTimeISO(timeZone)
    // From the day before: its instant may still lie ahead where a zone moved a time past midnight.
    let day: Temporal.PlainDate | null = from.toPlainDate().subtract({ days: 2 })
    for (let tries = 0; tries < 5; tries++) {
      day = nextDay(day)
      if (!day) return null
      const atMs = day.toZonedDateTime({ timeZone, plainTime }).epochMilliseconds
      if (isBeyond(day, atMs)) return null
      if (atMs > afterMs) return atMs
    }
    return null
  }
}

/** Looked up a year at a time, since asking the library for one day costs as much as for all of them. */
const LOOKED_UP_DAYS = 370

const compareDays = (a: Temporal.PlainDate, b: Temporal.PlainDate): number => Temporal.PlainDate.compare(a, b)

/** Gives the first day of the rule after a day. */
function createDays(rule: RRuleTemporal): (after: Temporal.PlainDate) => Temporal.PlainDate | null {
  let known: {
    from: Temporal.PlainDate
    to: Temporal.PlainDate
    days: readonly Temporal.PlainDate[]
  } | null = null
  return (after) => {
    if (!known || compareDays(after, known.from) < 0 || compareDays(after, known.to) >= 0) {
      const to = after.add({ days: LOOKED_UP_DAYS })
      const found = rule.between(after.toZonedDateTime('UTC'), to.toZonedDateTime('UTC'), true)
      known = {
        from: after,
        to,
        days: found.map((day) => Temporal.PlainDate.from(day.toString().slice(0, 10))),
      }
    }
    const near = known.days.find((day) => compareDays(day, after) > 0)
    if (near) return near
    const far = rule.next(known.to.toZonedDateTime('UTC'))
    return far && Temporal.PlainDate.from(far.toString().slice(0, 10))
  }
}

function textOf(rule: string, startsOn: string): string {
  return `DTSTART:${startsOn.replaceAll('-', '')}T000000Z\nRRULE:${rule}`
}

interface Until {
  readonly rule: string
  readonly isBeyond: (date: Temporal.PlainDate, atMs: number) => boolean
}

/** UNTIL is held against the instant, which the library does not see. */
function splitUntil(rule: string): Until {
  const parts = rule.toUpperCase().split(';')
  const until = parts.find((p) => p.startsWith('UNTIL='))?.slice('UNTIL='.length)
  const rest = parts.filter((p) => !p.startsWith('UNTIL=')).join(';')
  if (until === undefined) return { rule: rest, isBeyond: () => false }
  if (until.length === 8) {
    const last = Temporal.PlainDate.from(until)
    return { rule: rest, isBeyond: (date) => Temporal.PlainDate.compare(date, last) > 0 }
  }
  const lastMs = Temporal.Instant.from(until).epochMilliseconds
  return { rule: rest, isBeyond: (_, atMs) => atMs > lastMs }
}

const PARTS: Readonly<Record<string, RegExp>> = {
  FREQ: /^(DAILY|WEEKLY|MONTHLY|YEARLY)$/,
  INTERVAL: /^[1-9]\d{0,2}$/,
  COUNT: /^[1-9]\d{0,3}$/,
  UNTIL: /^\d{8}(T\d{6}Z)?$/,
  WKST: /^(MO|TU|WE|TH|FR|SA|SU)$/,
  BYDAY: /^([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)(,([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU))*$/,
  BYMONTHDAY: /^-?\d{1,2}(,-?\d{1,2})*$/,
  BYMONTH: /^\d{1,2}(,\d{1,2})*$/,
  BYYEARDAY: /^-?\d{1,3}(,-?\d{1,3})*$/,
  BYWEEKNO: /^-?\d{1,2}(,-?\d{1,2})*$/,
  BYSETPOS: /^-?\d{1,3}(,-?\d{1,3})*$/,
}
const EXAMPLE = 'such as FREQ=WEEKLY;BYDAY=MO'

/** Why a recurrence rule cannot be used, with the cure, or null. */
export function problemOfRule(rule: string): string | null {
  const seen = new Set<string>()
  for (const part of rule.toUpperCase().split(';')) {
    const [name = '', value = ''] = part.split('=', 2)
    const form = PARTS[name]
    if (!form) return `${name || 'an empty part'} cannot stand in this rule: write days, ${EXAMPLE}`
    if (seen.has(name)) return `${name} stands twice: leave one out`
    if (!form.test(value)) return `${name}=${value} is not understood: write a rule of RFC 5545, ${EXAMPLE}`
    seen.add(name)
  }
  if (!seen.has('FREQ')) return `FREQ is missing: write how often, ${EXAMPLE}`
  if (seen.has('COUNT') && seen.has('UNTIL')) return 'COUNT and UNTIL exclude each other: leave one out'
  return comesAtAll(rule) ? null : 'no day fits this rule: write one that comes, ' + EXAMPLE
}

/** A rule that fits no day for this many steps fits none. */
const MOST_ITERATIONS = 4_000

function comesAtAll(rule: string): boolean {
  try {
    const rruleString = textOf(splitUntil(rule).rule, '2026-01-05')
    const days = new RRuleTemporal({ rruleString, maxIterations: MOST_ITERATIONS, strict: true })
    return days.all((_, i) => i < 1).length > 0
  } catch {
    return false
  }
}

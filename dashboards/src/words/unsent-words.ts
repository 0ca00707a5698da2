import type { Care } from '../../../services/core/model/act.ts'

const CARE_WORDS: Readonly<Record<Care, string>> = {
  cleaned: 'the heads were cleaned',
  partlyCleaned: 'a short cleaning',
  printed: 'it printed',
  whiteStirred: 'the white was stirred',
}

/** Titles of what a thing said is about; undefined where it is no longer shown. */
export interface TitlesOf {
  readonly machine: (id: string) => string | undefined
  readonly task: (id: string) => string | undefined
  readonly alarm: (id: string) => string | undefined
}

/** What a thing that waits to be sent says, in a line. */
export function unsentLabel({ path, body }: { path: string; body: unknown }, titles: TitlesOf): string {
  const [, noun = '', rawId = '', verb = ''] =
    /^\/api\/v1\/([^/]+)(?:\/([^/]+))?(?:\/([^/]+))?$/.exec(path) ?? []
  const id = decodeURIComponent(rawId)
  const fields = (body ?? {}) as Record<string, unknown>
  if (noun === 'alarms') return withTitle("I'm on it", titles.alarm(id))
  if (noun === 'tasks') return withTitle('Signed off', titles.task(id))
  if (noun === 'nozzle-checks') return withTitle('Nozzle check', titles.machine(String(fields['machineId'])))
  if (noun === 'machines') return withTitle(titles.machine(id) ?? id, machineWords(verb, fields))
  return 'An entry'
}

function machineWords(verb: string, fields: Record<string, unknown>): string {
  if (verb === 'care') return CARE_WORDS[fields['care'] as Care] ?? 'care'
  if (verb === 'cap') return fields['capped'] === true ? 'the head is on its cap' : 'the head is off its cap'
  if (verb === 'servicing')
    return fields['servicing'] === true ? 'somebody works on it' : 'the work on it is done'
  return fields['stopped'] === true ? 'it stopped on an error' : 'it runs again'
}

function withTitle(text: string, title: string | undefined): string {
  return title === undefined ? text : `${text}: ${title}`
}

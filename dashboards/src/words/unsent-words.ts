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
  readonly step: (id: string) => string | undefined
  readonly bottle: (id: string) => string | undefined
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
  if (noun === 'cleanings') return withTitle('Cleaning', titles.machine(String(fields['machineId'])))
  if (noun === 'head-changes') return withTitle('New head', titles.machine(String(fields['machineId'])))
  if (noun === 'log-notes') return withTitle('Note', String(fields['text']).slice(0, 40))
  if (noun === 'closing') return tickWords(decodeURIComponent(verb), fields, titles)
  if (noun === 'symptoms')
    return withTitle('A task of what was seen', titles.machine(String(fields['machineId'])))
  if (noun === 'disposals') return disposalWords(fields, titles)
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

function tickWords(stepId: string, fields: Record<string, unknown>, titles: TitlesOf): string {
  const machine = titles.machine(String(fields['machineId']))
  const verb = fields['done'] === false ? 'Closing, taken back' : 'Closing, done'
  return [withTitle(verb, titles.step(stepId)), ...(machine === undefined ? [] : [machine])].join(', ')
}

function disposalWords(fields: Record<string, unknown>, titles: TitlesOf): string {
  const litres = Number(fields['volumeMl']) / 1000
  const text = `Disposal, ${litres.toLocaleString('en-GB', { maximumFractionDigits: 1 })} L`
  return withTitle(text, titles.bottle(String(fields['bottleId'])))
}

function withTitle(text: string, title: string | undefined): string {
  return title === undefined ? text : `${text}: ${title}`
}

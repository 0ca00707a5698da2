export const SETUP_PARTS = [
  'walk',
  'forms',
  'limits',
  'power',
  'scale',
  'told',
  'people',
  'file',
  'changes',
] as const
export type SetupPart = (typeof SETUP_PARTS)[number]

/** The pages, as they stand in the address after `#`. */
export type Route =
  /** `isInstead`: of a page that the address names and that there is not. */
  | { readonly page: 'board'; readonly isInstead?: true }
  | { readonly page: 'closing' }
  | { readonly page: 'morning' }
  | { readonly page: 'tasks'; readonly taskId: string | null }
  | { readonly page: 'alarms' }
  | { readonly page: 'sensors' }
  | { readonly page: 'symptoms' }
  | { readonly page: 'logbook'; readonly part: 'all' | 'waste' | 'import' }
  | { readonly page: 'causes' }
  | { readonly page: 'history'; readonly query: string }
  | {
      readonly page: 'setup'
      readonly part: SetupPart
      /** The step of the walk, or the machine or bottle that it is about. */
      readonly detail?: string
    }
  | { readonly page: 'phone' }
  /** What to try, as a link may propose it. */
  | { readonly page: 'rerun'; readonly limit: string | null; readonly value: number | null }

/** Codes that come in with a link; they are taken out of the address as soon as they are read. */
export type Invitation =
  { readonly kind: 'firstOwner'; readonly code: string } | { readonly kind: 'signIn'; readonly code: string }

/** The page that an address names; of anything unknown the board, which then says so. */
export function routeOf(hash: string): Route {
  const rerun = /^#\/?rerun(?:\?(.*))?$/.exec(hash)
  if (rerun) return rerunRoute(new URLSearchParams(rerun[1] ?? ''))
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split(/\?(.*)/s)
  const [page = '', ...rest] = path.split('/')
  const tail = rest.join('/')
  switch (page) {
    case 'tasks':
      return { page, taskId: tail === '' ? null : decoded(tail) }
    case 'closing':
    case 'morning':
    case 'alarms':
    case 'sensors':
    case 'symptoms':
    case 'causes':
      return { page }
    case 'logbook':
      return { page, part: tail === 'waste' || tail === 'import' ? tail : 'all' }
    case 'setup':
      return setupRoute(rest)
    case 'history':
      return { page, query }
    case 'phone':
      return { page }
    case '':
    case 'board':
      return { page: 'board' }
    default:
      return { page: 'board', isInstead: true }
  }
}

/** `#/rerun?limit=airDryPct.openBelow&value=38`, the value in the unit of the settings. */
function rerunRoute(query: URLSearchParams): Route {
  const value = Number(query.get('value') ?? NaN)
  return { page: 'rerun', limit: query.get('limit'), value: Number.isFinite(value) ? value : null }
}

function setupRoute([name = '', ...rest]: readonly string[]): Route {
  const part = SETUP_PARTS.find((p) => p === name) ?? 'forms'
  const detail = decoded(rest.join('/'))
  return { page: 'setup', part, ...(detail === '' || part === 'forms' ? {} : { detail }) }
}

export function hashOf(route: Route): string {
  if (route.page === 'board') return '#/'
  if (route.page === 'tasks' && route.taskId !== null) return `#/tasks/${encodeURIComponent(route.taskId)}`
  if (route.page === 'rerun' && route.limit !== null) {
    const value = route.value === null ? '' : `&value=${route.value}`
    return `#/rerun?limit=${encodeURIComponent(route.limit)}${value}`
  }
  if (route.page === 'logbook' && route.part !== 'all') return `#/logbook/${route.part}`
  if (route.page === 'history' && route.query !== '') return `#/history?${route.query}`
  if (route.page === 'setup' && route.part !== 'forms')
    return `#/setup/${route.part}${route.detail === undefined ? '' : `/${encodeURIComponent(route.detail)}`}`
  return `#/${route.page}`
}

/** `#first-owner=CODE` or `#sign-in=CODE`, else null. */
export function invitationOf(hash: string): Invitation | null {
  const [, word, code] = /^#(first-owner|sign-in)=(.+)$/.exec(hash) ?? []
  if (word === undefined || code === undefined) return null
  return { kind: word === 'first-owner' ? 'firstOwner' : 'signIn', code: decoded(code) }
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}

import { settingsDifferences } from '../../services/core/advise/settings-words/settings-differences.ts'
import { parseSettings } from '../../services/codecs/settings-check.ts'
import { parseSettingsYaml } from '../../services/codecs/settings-file.ts'
import type { InputOf } from '../../services/core/model/input.ts'
import { settingsVersion } from '../../services/web/settings-version.ts'
import { limitOrigins, recordedChanges } from '../../services/web/settings-record.ts'
import { powerColumns } from '../../services/web/power-picture.ts'
import { limitChoice } from '../../services/core/study/rerun/limit-choices.ts'
import type { Handler, Reply, Route, ShopState } from './board-server.ts'
import { SHOP_NOW_MS } from './invented-shop.ts'

/** The set-up as the real server does it, over the invented shop; every change is kept as on record. */

const HOUR = 3_600_000

type Change = InputOf<'settings'>
const changes = new WeakMap<ShopState, Change[]>()

function historyOf(state: ShopState): Change[] {
  const known = changes.get(state)
  if (known) return known
  const first = changeOf(state, SHOP_NOW_MS - 60 * HOUR, '')
  changes.set(state, [first])
  return historyOf(state)
}

function changeOf({ settings }: ShopState, atMs: number, why: string): Change {
  const act = { actorId: 'person-1', via: 'screen' as const, atMs }
  return {
    type: 'settings',
    seq: atMs,
    atMs,
    receivedMs: atMs,
    act,
    settings,
    ...(why === '' ? {} : { why }),
  }
}

function stampOf({ atMs, why, act }: Change) {
  return { atMs, by: 'Mira', via: act.via, why: why ?? null }
}

function problem(status: number, title: string, detail: string, errors: readonly unknown[] = []): Reply {
  return { status, body: { type: 'about:blank', title, status, detail, errors } }
}

/** Takes settings as the real server does: nothing from an older version, nothing that is wrong. */
function put(state: ShopState, next: unknown, { ifMatch, why }: { ifMatch: string | null; why: string }): Reply {
  historyOf(state)
  if (ifMatch !== null && ifMatch !== settingsVersion(state.settings))
    return problem(412, 'Someone else changed the settings meanwhile; nothing of yours was saved', 'look at what they changed, then make your change again')
  const parsed = typeof next === 'string' ? parseSettingsYaml(next) : parseSettings(next)
  if (!parsed.ok)
    return problem(422, 'The settings cannot be used; nothing was changed', 'see the fields', parsed.errors)
  state.settings = parsed.settings
  const history = historyOf(state)
  history.unshift(changeOf(state, SHOP_NOW_MS + history.length, why))
  return { status: 204 }
} // prettier-ignore

const putSettings: Handler = (state, { body, isYaml, ifMatch, url }) =>
  put(state, isYaml ? body : JSON.parse(body), { ifMatch, why: url.searchParams.get('why') ?? '' })

const preview: Handler = (state, { body }) => {
  const parsed = parseSettingsYaml(body)
  if (!parsed.ok)
    return problem(422, 'The settings cannot be used; nothing was changed', 'see the fields', parsed.errors)
  const differences = settingsDifferences(state.settings, parsed.settings)
  return { status: 200, body: { version: settingsVersion(state.settings), differences } }
}

/** A week of a machine's minutes: off in the nights, at rest, cleaning, printing. */
const MINUTES = [
  ...Array.from({ length: 900 }, () => ({ mean: 0.4 })),
  ...Array.from({ length: 7000 }, (_, n) => ({ mean: 44 + (n % 23) })),
  ...Array.from({ length: 90 }, (_, n) => ({ mean: 104 + (n % 30) })),
  ...Array.from({ length: 1600 }, (_, n) => ({ mean: 190 + ((n * 7) % 340) })),
]

const power: Handler = (state, { id }) => {
  const machine = state.settings.machines.find((m) => m.id === id)
  const told = machine?.powerBandsW
  return {
    status: 200,
    body: {
      fromMs: SHOP_NOW_MS - 168 * HOUR,
      toMs: SHOP_NOW_MS,
      columns: powerColumns(MINUTES),
      inForce: {
        meterId: 'bench/power',
        from: told ? 'told' : 'learned',
        offBelowW: machine?.offBelowW ?? 9,
        standbyTopW: 72,
        cleaningW: told ? (told.cleaning ?? null) : [100, 140],
        printingW: told ? (told.printing ?? null) : [163, 590],
      },
      learned: BANDS,
      waiting: id === state.settings.machines[0]?.id ? { ...BANDS, cleaningW: [128, 171] } : null,
      told: told ?? null,
    },
  }
}
const BANDS = {
  kind: 'powerBands',
  subjectId: 'roll',
  fromMs: 0,
  toMs: 1,
  version: '1',
  offBelowW: 9,
  standbyW: [42, 72],
  cleaningW: [100, 140],
  printingW: [163, 590],
  cleaningS: [170, 190],
  separation: 2,
  samples: 40_000,
}

export const SETUP_ROUTES: readonly Route[] = [
  ['PUT', /^\/settings$/, putSettings],
  ['POST', /^\/settings\/preview$/, preview],
  [
    'POST',
    /^\/settings\/changes$/,
    (state, { body, ifMatch }) => {
      const { settings, why } = JSON.parse(body) as { settings: unknown; why: string }
      return put(state, settings, { ifMatch, why })
    },
  ],
  [
    'GET',
    /^\/settings\/changes$/,
    (state) => ({
      status: 200,
      body: {
        changes: recordedChanges(historyOf(state), 100).map(({ change, differences }) => ({
          seq: change.seq,
          ...stampOf(change),
          differences,
        })),
      },
    }),
  ],
  [
    'GET',
    /^\/settings\/limits$/,
    (state) => ({
      status: 200,
      body: {
        limits: limitOrigins(historyOf(state)).map(({ words, value, startingValue, setBy }) => ({
          ...words,
          value,
          startingValue,
          set: setBy && stampOf(setBy),
          isTriable: limitChoice(words.path, state.settings) !== null,
        })),
      },
    }),
  ],
  ['GET', /^\/machines\/([^/]+)\/power$/, power],
  ['POST', /^\/learned\/([^/]+)\/acceptance$/, () => ({ status: 204 })],
  [
    'GET',
    /^\/nodes\/way-in$/,
    () => ({
      status: 200,
      body: {
        site: 'quayside',
        broker: 'own',
        host: '127.0.0.1',
        port: 1883,
        encrypted: false,
        thisComputerOnly: true,
      },
    }),
  ],
  ['POST', /^\/sensors\/replacement$/, () => ({ status: 204 })],
  [
    'DELETE',
    /^\/nodes\/([^/]+)$/,
    (state, { id }) => {
      state.sensors = { ...state.sensors, nodes: state.sensors.nodes.filter((n) => n.id !== id) }
      return { status: 204 }
    },
  ],
]

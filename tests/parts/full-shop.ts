import { createSimulatedShop } from '../../sensors/simulator/create-shop.ts'
import { demoIncidents } from '../../sensors/simulator/demo-story.ts'
import { demoPlan } from '../../sensors/simulator/shop-plan.ts'
import { createSqliteAccountStore } from '../../services/adapters/records-sqlite/create-account-store.ts'
import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { createSqliteNoticeStore } from '../../services/adapters/records-sqlite/create-notice-store.ts'
import { createSqliteRecordsReader } from '../../services/adapters/records-sqlite/create-records-reader.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'
import { pastPacks } from '../../services/cli/demo-past.ts'
import { actsOfARound, roundsOf } from '../../services/cli/demo-people.ts'
import { kernelToJson } from '../../services/core/kernel/state.ts'
import type { Contact } from '../../services/core/model/contact.ts'
import { openingCalendar } from '../../services/core/model/opening-hours.ts'
import { settingsSchema, type Settings } from '../../services/core/model/settings.ts'
import { backfill } from '../../services/monitor/backfill.ts'
import { createKernelKeeper } from '../../services/monitor/kernel-keeper.ts'
import { createSealer } from '../../services/monitor/key-file.ts'
import { sha256 } from '../../services/web/auth/secrets.ts'

const DAY_MS = 86_400_000
export const FULL_SHOP_NODE_SECRET = 'secret of a node of the full shop'

export interface FullShopParts {
  readonly dataDir: string
  readonly nowMs: number
  readonly days: number
  readonly contacts?: readonly Partial<Contact>[]
}

/** Fills an empty data folder with an invented shop's past: readings, alarms, tasks, people, nodes, a sealed secret. */
export function fillShop({ dataDir, nowMs, days, contacts = [] }: FullShopParts): Settings {
  const plan = demoPlan({ timeZone: 'Europe/Brussels' })
  const fromMs = nowMs - days * DAY_MS
  const settings = settingsSchema.parse({
    ...plan.settings,
    contacts,
    telling: { ...plan.settings.telling, allowPrivateWebhooks: true },
  })
  const shop = createSimulatedShop({ seed: 1, plan, startMs: fromMs, incidents: demoIncidents(nowMs, plan) })
  const db = openDatabase({ dataDir })
  backfill(createSqliteBookOfRecord({ db }), {
    settings,
    fromMs,
    throughMs: nowMs,
    packs: pastPacks(shop, { fromMs, throughMs: nowMs }),
    people: {
      rounds: roundsOf(openingCalendar(settings), { fromMs, throughMs: nowMs }),
      actsAt: (state, atMs) => actsOfARound(state, 'ana', atMs),
    },
  })
  addPeople(db, { dataDir, nowMs, nodes: settings.nodes.map((n) => n.id) })
  db.close()
  return settings
}

function addPeople(
  db: ReturnType<typeof openDatabase>,
  { dataDir, nowMs, nodes }: { dataDir: string; nowMs: number; nodes: readonly string[] },
): void {
  const accounts = createSqliteAccountStore({ db })
  accounts.addPerson({ id: 'ana', name: 'Ana', role: 'owner', createdMs: nowMs, passwordHash: 'none' })
  const session = { personId: 'ana', createdMs: nowMs, lastSeenMs: nowMs, expiresMs: nowMs + DAY_MS }
  accounts.addSession({ tokenHash: 'a session', ...session })
  for (const id of nodes)
    accounts.putCredential({
      kind: 'node',
      id,
      title: id,
      secretHash: sha256(FULL_SHOP_NODE_SECRET),
      createdMs: nowMs,
    })
  const store = createSqliteNoticeStore({ db })
  const sealed = createSealer({ keyFile: `${dataDir}-key`, dataDir, anythingSealed: () => false }).seal(
    'a secret',
    'told to nobody',
  )
  if (sealed.ok) store.putSealedSecret('a secret', sealed.value)
}

/** What a data folder knows, as the monitor would find it at its next start. */
export interface FolderContent {
  readonly stateHash: string
  readonly site: string
  readonly lastSeq: number
  readonly openAlarms: readonly string[]
  readonly openTasks: readonly string[]
  readonly readings: number
  readonly people: readonly string[]
  readonly nodes: readonly string[]
  readonly sessions: number
  readonly sealed: string | null
  readonly pendingNotices: readonly string[]
}

export function readFolder(dataDir: string): FolderContent {
  const db = openDatabase({ dataDir })
  try {
    const book = createSqliteBookOfRecord({ db })
    const reader = createSqliteRecordsReader({ db })
    const accounts = createSqliteAccountStore({ db })
    const state = createKernelKeeper(book).state()
    return {
      stateHash: sha256(kernelToJson(state)),
      site: state.settings.site.id,
      lastSeq: book.lastSeq(),
      openAlarms: reader.openAlarms().map((a) => `${a.id} ${a.state}`),
      openTasks: reader.tasks({ states: ['open'], limit: 1000 }).map((t) => t.id),
      readings: reader.counts().readings,
      people: accounts.people().map((p) => p.id),
      nodes: accounts.credentials('node').map((c) => c.id),
      sessions: db.prepare<[], { n: number }>('SELECT count(*) AS n FROM session').get()?.n ?? 0,
      sealed: createSqliteNoticeStore({ db }).sealedSecret('a secret'),
      pendingNotices: book.pendingNotices(1000).map((p) => p.notice.key),
    }
  } finally {
    db.close()
  }
}

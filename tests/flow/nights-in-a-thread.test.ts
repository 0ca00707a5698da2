import { afterEach, expect, it } from 'vitest'
import { initialKernel } from '../../services/core/kernel/state.ts'
import { QUARTER_MS } from '../../services/core/model/quarter.ts'
import { nightModelVersion } from '../../services/core/study/night-exposure.ts'
import { openCauses } from '../../services/monitor/open-causes.ts'
import { openNightBook } from '../parts/night-book.ts'
import { quietQuarters } from '../parts/night-quarters.ts'
import { testSettings } from '../parts/shop-settings.ts'
import { createTemporaryFolders } from '../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterEach(() => folders.removeAll())

it('from noon on nights are worked out once a day, in a thread of its own that only reads', async () => {
  const dataDir = folders.make()
  const shop = openNightBook(dataDir)
  const settings = testSettings()
  const version = nightModelVersion(settings.limits)
  const fromMs = Date.parse('2026-11-16T17:00:00Z')
  const toMs = Date.parse('2026-11-17T07:30:00Z')
  shop.settingsAt(fromMs - 3_600_000, settings)
  shop.note(toMs, quietQuarters({ fromMs: fromMs - QUARTER_MS, toMs }))
  let nowMs = toMs
  const told: unknown[] = []
  const causes = openCauses({
    dataDir,
    db: shop.db,
    engine: { state: () => initialKernel(settings) },
    clock: { nowMs: () => nowMs },
    log: { info: (what: object) => void told.push(what), error: (what: object) => void told.push(what) },
  })
  await causes.round()
  expect(shop.store.nights(version)).toEqual([])
  // Noon in Brussels is eleven in UTC.
  nowMs = Date.parse('2026-11-17T11:00:00Z')
  await causes.round()
  expect(shop.store.nights(version).map((n) => [n.channelGroupId, n.doseKpaH])).toEqual([
    ['roll-colour', 14.5],
    ['roll-white', 14.5],
  ])
  expect(shop.store.renewedMs()).toBe(nowMs)
  nowMs += 20 * 3_600_000
  await causes.round()
  expect(told).toEqual([{ nights: 2 }])
  await causes.stop()
  shop.db.close()
})

import { parentPort, workerData } from 'node:worker_threads'
import { drawStory, liveShop } from './live-shop.ts'
import { scoreShop } from './score-shop.ts'
import { SCORED_DAYS, SHOP_SETS, type ShopSet } from './shop-sets.ts'

const { set } = workerData as { set: ShopSet }
const ranges = SHOP_SETS[set]

/** Scores the n-th shop of the set for each n it is sent. */
parentPort?.on('message', (n: number) => {
  parentPort?.postMessage(scoreShop(liveShop(drawStory(ranges.firstSeed + n, ranges, SCORED_DAYS))))
})

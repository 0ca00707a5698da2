import { bundled } from './bundled.ts'
import type * as Causes from './causes.ts'
import { firstLoadBench } from './first-load.ts'
import { footprintBench } from './footprint.ts'
import { ingestBench } from './ingest.ts'
import { historyBench } from './history.ts'
import type * as Kernel from './kernel.ts'
import type * as Late from './late.ts'
import type * as Rerun from './rerun.ts'
import { tellingBench } from './telling.ts'

/** `npm run bench`: each figure beside the raw anchor of the same run; a shared machine makes only the ratios worth keeping. */
interface Line {
  readonly what: string
  readonly ours: number
  readonly anchor: number
  readonly unit: string
  readonly aim: number | null
}

const { kernelBench } = await bundled<typeof Kernel>('kernel')
const { lateBench } = await bundled<typeof Late>('late')
const { rerunBench } = await bundled<typeof Rerun>('rerun')
const { causesBench } = await bundled<typeof Causes>('causes')

const lines: Line[] = [
  ...(await ingestBench()),
  ...(await historyBench()),
  ...kernelBench(),
  ...lateBench(),
  ...rerunBench(),
  ...causesBench(),
  ...(await tellingBench()),
  ...(await footprintBench()),
  ...(await firstLoadBench()),
]
console.log('\n| what | Nightcap | anchor | unit | ratio | aim |\n| --- | --- | --- | --- | --- | --- |')
for (const { what, ours, anchor, unit, aim } of lines) {
  console.log(
    `| ${what} | ${ours < 10 ? ours.toFixed(1) : Math.round(ours)} | ${Math.round(anchor)} | ${unit} | ${(ours / anchor).toFixed(2)} | ${aim ?? ''} |`,
  )
}

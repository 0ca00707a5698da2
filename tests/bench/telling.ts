import { hasProgram } from '../parts/host.ts'
import { openNightShop, type NightShop } from '../parts/night-shop.ts'
import {
  calmWinter,
  WINTER_START_MS,
  winterMinute,
  winterShop,
  type WinterValues,
} from '../parts/winter-shop.ts'

const MIN = 60_000
const TIMES = 100
/** Minutes of one round: it prints, loses power, and is at rest for so long that the next fall is another alarm. */
const ROUND = 60
const FALLS_AT = 10
const BACK_AT = 15
/** Power that falls while it prints is called for after so many minutes. */
const CONDITION_MINUTES = 2

/**
 * From the publish that makes an alarm certain to the request at the push service, 95th percentile, on a started
 * monitor with nothing else to do. The clock is moved by hand past the condition's own delay and the monitor's 2 s of
 * grace for late readings: neither is in the figure. The anchor is a bare request to the same push service.
 */
export async function tellingBench() {
  if (!hasProgram('openssl')) {
    console.log('openssl is missing: apt-get install openssl. Publish to push is left out.')
    return []
  }
  const shop = await openNightShop({
    startMs: WINTER_START_MS + winterMinute(0, '20:00') * MIN,
    settings: (personId, out) =>
      winterShop({
        // Closed all week: it is always night.
        hours: { weekly: [], holidays: [] },
        // Whom a push service may write to; here no https address can say that.
        mail: { host: 'localhost', port: out.smtpPort, security: 'none', from: 'nightcap@example.org' },
        contacts: [{ id: 'ana', title: 'Ana', personId }],
      }),
  })
  try {
    await shop.addDevice()
    await shop.liveUntil(ROUND - 1, calmWinter)
    const ours: number[] = []
    for (let round = 1; round <= TIMES; round++) ours.push(await oneAlarm(shop, round * ROUND))
    return [
      {
        what: `publish to push request, 95th percentile of ${TIMES} (aim: 250 ms)`,
        ours: percentile95(ours),
        anchor: percentile95(await bareRequests(shop)),
        unit: 'ms',
        aim: null,
      },
    ]
  } finally {
    await shop.close()
  }
}

async function oneAlarm(shop: NightShop, first: number): Promise<number> {
  const values = (minute: number): WinterValues => ({ ...calmWinter(minute), film: filmW(minute - first) })
  const due = first + FALLS_AT + CONDITION_MINUTES
  await shop.liveUntil(due - 1, values)
  const before = shop.out.pushed.length
  const beganMs = performance.now()
  await shop.liveUntil(due, values)
  const came = shop.out.pushed.findIndex((n, i) => i >= before && n.kind === 'alarm')
  const tookMs = (shop.out.pushedAtMs[came] ?? NaN) - beganMs
  if (Number.isNaN(tookMs)) throw new Error(`no alarm came in the round at minute ${first}`)
  await shop.liveUntil(first + ROUND - 1, values)
  return tookMs
}

function filmW(minute: number): number {
  if (minute < FALLS_AT) return 200
  return minute < BACK_AT ? 0 : 40
}

async function bareRequests({ out }: NightShop): Promise<number[]> {
  const took: number[] = []
  for (let n = 0; n < TIMES; n++) {
    const beganMs = performance.now()
    await out.post({ url: out.subscription.endpoint, headers: {}, body: '', allowPrivate: false })
    took.push(performance.now() - beganMs)
  }
  return took
}

function percentile95(all: readonly number[]): number {
  const sorted = [...all].sort((a, b) => a - b)
  return sorted[Math.ceil(sorted.length * 0.95) - 1] ?? NaN
}

import type { MonitorConfig } from './config.ts'
import { fine, wrong, type Finding } from './finding.ts'
import { readSecret } from './read-config.ts'

const WAIT_MS = 3_000

/** The second store: that it answers, takes the token and knows the bucket. A comment is written, which is nothing. */
export async function checkInflux({ influx }: MonitorConfig): Promise<readonly Finding[]> {
  if (!influx) return []
  const { url, org, bucket } = influx
  const status = await writeNothing(url, { org, bucket, precision: 'ms' }, () => readSecret(influx.token))
  if (status === null) {
    return [
      wrong(
        `NIGHTCAP_INFLUX_URL: nothing answers at ${url}: start InfluxDB, or correct the address; readings wait here meanwhile`,
      ),
    ]
  }
  if (status === 401 || status === 403) {
    return [
      wrong(
        `NIGHTCAP_INFLUX_TOKEN: InfluxDB refuses the token (${status}): give one that may write to ${bucket}`,
      ),
    ]
  }
  if (status === 404) {
    return [
      wrong(
        `NIGHTCAP_INFLUX_BUCKET: InfluxDB knows no bucket ${bucket} of ${org}: make it, or correct NIGHTCAP_INFLUX_ORG and NIGHTCAP_INFLUX_BUCKET`,
      ),
    ]
  }
  return status >= 500
    ? [wrong(`NIGHTCAP_INFLUX_URL: InfluxDB at ${url} answers ${status}: look at its own log`)]
    : [fine(`NIGHTCAP_INFLUX_URL: InfluxDB at ${url} takes readings`)]
}

/** The status of an answer, or null without one. */
async function writeNothing(
  url: string,
  query: Record<string, string>,
  token: () => string,
): Promise<number | null> {
  try {
    const target = new URL(
      `api/v2/write?${new URLSearchParams(query).toString()}`,
      url.endsWith('/') ? url : `${url}/`,
    )
    const answer = await fetch(target, {
      method: 'POST',
      headers: { authorization: `Token ${token()}`, 'content-type': 'text/plain; charset=utf-8' },
      body: '# nightcap check\n',
      signal: AbortSignal.timeout(WAIT_MS),
    })
    await answer.body?.cancel()
    return answer.status
  } catch {
    return null
  }
}

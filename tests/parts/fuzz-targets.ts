import fc from 'fast-check'
import { judgeMessage } from '../../services/adapters/mqtt/judge-message.ts'
import { toMessageIndex } from '../../services/adapters/mqtt/message-index.ts'
import { createPacketGuard } from '../../services/adapters/mqtt/packet-guard.ts'
import { readCsv } from '../../services/codecs/csv-reading.ts'
import { valueAtPointer } from '../../services/codecs/json-pointer.ts'
import { readLogCsv } from '../../services/codecs/log-csv-import.ts'
import { parseSenml } from '../../services/codecs/senml.ts'
import { parseSettingsYaml, toSettingsYaml } from '../../services/codecs/settings-file.ts'
import { parseNodeConfig } from '../../sensors/load-config.ts'
import { LOG_KINDS, type LogKind } from '../../services/core/model/log-entry.ts'
import { textsNear } from './fuzz-text.ts'
import { testSettings } from './shop-settings.ts'

/** One reader of what comes from outside. `try` throws when a law is broken, else says what became of the case. */
export interface FuzzTarget {
  readonly name: string
  /** The share of cases that it gets: less where a case takes long. */
  readonly share: number
  /** A case gives a word for what became of it; every target must reach each of `reaches`. */
  readonly property: (note: (outcome: string) => void) => fc.IAsyncPropertyWithHooks<[string]>
  readonly reaches: readonly string[]
}

const NOW_MS = Date.UTC(2026, 4, 4, 12)
const PACK = JSON.stringify([
  { bn: 'bench/', bt: NOW_MS / 1000, n: 'humidity', u: '%RH', v: 41.5 },
  { n: 'temperature', u: 'Cel', v: 21 },
  { n: 'powered', vb: true },
  { n: 'bottle', u: 'kg', v: 1.25, t: -10 },
])
const settings = testSettings({
  sensors: [
    { id: 'bench/humidity', quantity: 'humidity', subject: { kind: 'room', id: 'floor' } },
    {
      id: 'plug/power',
      quantity: 'power',
      subject: { kind: 'machine', id: 'roll' },
      foreign: { topicFilter: 'plug/w', pointer: '/deep/0/w', scale: 0.1 },
    },
    {
      id: 'relay/on',
      quantity: 'powered',
      subject: { kind: 'machine', id: 'roll' },
      foreign: { topicFilter: 'plug/relay' },
    },
  ],
})
const index = toMessageIndex(settings)
/** A good file of each kind of entry. */
const LOGS: Readonly<Record<LogKind, string>> = {
  nozzleCheck: `machine,checked_at,reason,channel_group,missing_nozzles,note
roll,2026-05-04T08:00:00Z,routine,Colour,0,
roll,2026-05-04T08:00:00Z,routine,roll-white,3,"two lines
of note"
roll,2026-05-03,suspicion,Colour,0,
`,
  care: `id,done_at_utc,machine,care,channel_groups,helped_said,note
c1,2026-05-04T08:00:00Z,roll,cleaned,roll-colour,yes,'=1+1
c2,2026-05-04T09:00:00Z,roll,partlyCleaned,,,"a, b"
`,
  note: `noted_at,about,subject,text
2026-05-04 08:00,machine,roll,The film was changed
2026-05-04 09:00,room,floor,"Window ""left"" open"
`,
  headChange: `changed_at,machine,head,note
2026-05-04 08:00,roll,roll-head,worn
`,
}
const NODE = `site: quayside
node: bench
broker: { url: mqtts://monitor.lan:8883, secretFile: secret }
everyMs: 10000
channels:
  - { name: humidity, driver: iio, quantity: humidity }
  - { name: mains, driver: contact, quantity: powered, path: /sys/class/power_supply/mains/online }
outbox: { directory: outbox }
`

function law(holds: boolean, what: string): void {
  if (!holds) throw new Error(what)
}

/** A case of these reads and writes a whole YAML file. */
const SLOW = ['settings files', 'configs of nodes']

function target(
  name: string,
  samples: readonly string[],
  reaches: readonly string[],
  judge: (text: string) => string | Promise<string>,
): FuzzTarget {
  return {
    name,
    share: SLOW.includes(name) ? 0.1 : 1,
    reaches,
    property: (note) =>
      fc.asyncProperty(textsNear(samples), async (text) => {
        note(await judge(text))
      }),
  }
}

/** Every reader of what nodes, devices, files and people send. */
export const FUZZ_TARGETS: readonly FuzzTarget[] = [
  target('SenML packs', [PACK], ['read', 'refused'], (text) => {
    const result = parseSenml(jsonOr(text), { nowMs: NOW_MS })
    if (!result.ok) return 'refused'
    for (const { atMs, value } of result.records) {
      law(Number.isFinite(atMs), `a time that is none: ${atMs}`)
      if (value.kind === 'number') law(Number.isFinite(value.v), 'a value that is none')
    }
    return 'read'
  }),
  target(
    'messages of nodes and devices',
    [
      `nightcap/v1/quayside/node/bench/readings\n${PACK}`,
      'nightcap/v1/quayside/node/bench/status\nonline',
      'plug/w\n{"deep":[{"w":412}]}',
      'plug/relay\nON',
      'plug/relay\n1',
    ],
    ['readings', 'rejected', 'status'],
    (text) => {
      const [topic = '', ...rest] = text.split('\n')
      const payload = Buffer.from(rest.join('\n'), 'utf8')
      const judged = judgeMessage({ topic, payload, retained: false, receivedMs: NOW_MS }, index)
      for (const reading of judged.readings?.readings ?? []) {
        law(Number.isFinite(reading.value) && Number.isInteger(reading.atMs), 'a reading that is none')
      }
      for (const { reason, sample } of judged.rejections) {
        law(reason !== '', 'a rejection without its reason')
        law(Buffer.byteLength(sample) <= 4096, 'a sample that is too long')
      }
      if (judged.status !== null) return 'status'
      law(judged.readings !== null || judged.rejections.length > 0, `a message that left nothing: ${text}`)
      return judged.rejections.length > 0 ? 'rejected' : 'readings'
    },
  ),
  target('MQTT packets', [PACK, '\u0030\u00ff\u00ff\u0003', '\u0010\u0002ab'], ['sound', 'cut'], (text) => {
    const bytes = Buffer.from(text, 'latin1')
    const guard = createPacketGuard({ maxBytes: () => 300 })
    let cut = false
    for (let at = 0; at < bytes.length && !cut; at += 7) {
      const chunk = bytes.subarray(at, at + 7)
      const { soundBytes, oversized } = guard(chunk)
      law(soundBytes >= 0 && soundBytes <= chunk.length, `${soundBytes} bytes of ${chunk.length} are sound`)
      cut = oversized !== null
    }
    return cut ? 'cut' : 'sound'
  }),
  target('settings files', [toSettingsYaml(settings)], ['read', 'refused'], (text) => {
    const outcome = parseSettingsYaml(text)
    if (!outcome.ok) {
      law(
        outcome.errors.length > 0 && outcome.errors.every((e) => e.detail !== ''),
        'a refusal without words',
      )
      return 'refused'
    }
    const again = parseSettingsYaml(toSettingsYaml(outcome.settings))
    law(
      again.ok && JSON.stringify(again.settings) === JSON.stringify(outcome.settings),
      'written and read differ',
    )
    return 'read'
  }),
  target('configs of nodes', [NODE], ['read', 'refused'], (text) => {
    const outcome = parseNodeConfig(text, '/etc/nightcap')
    if (outcome.ok) return 'read'
    law(
      outcome.problems.length > 0 && outcome.problems.every((p) => p.reason !== ''),
      'a refusal without words',
    )
    return 'refused'
  }),
  target(
    'CSV files',
    [...Object.values(LOGS), LOGS.care.replaceAll(',', ';')],
    ['read', 'refused'],
    async (text) => {
      const file = await readCsv(text)
      if (!file.ok) {
        law(file.bad.reason !== '' && file.bad.line >= 1, 'a refusal without words or line')
        return 'refused'
      }
      for (const row of file.rows)
        for (const h of file.headings) law(typeof row.cell(h) === 'string', 'no text')
      return 'read'
    },
  ),
  ...LOG_KINDS.map((kind) =>
    target(`imports of ${kind}`, [LOGS[kind]], ['bad rows', 'all taken'], async (text) => {
      const file = await readLogCsv(kind, text, { settings, nowMs: NOW_MS })
      for (const { reason, line } of file.bad)
        law(reason !== '' && line >= 1, 'a bad row without words or line')
      law(file.found.length <= file.rows, `${file.found.length} entries of ${file.rows} rows`)
      return file.bad.length > 0 ? 'bad rows' : 'all taken'
    }),
  ),
  target(
    'JSON Pointers',
    ['/deep/0/w', '', '/a~1b/~0', '/__proto__/x', '/constructor'],
    ['nothing'],
    (text) => {
      const found = pointed(text)
      if (found instanceof RangeError) return 'refused'
      law(typeof found !== 'function', 'a pointer that leaves the document')
      return found === undefined ? 'nothing' : 'something'
    },
  ),
]

/** What stands there, or the RangeError by which a text that is no pointer is refused. */
function pointed(pointer: string): unknown {
  try {
    return valueAtPointer({ deep: [{ w: 1 }], 'a/b': { '~': 2 } }, pointer)
  } catch (error) {
    if (error instanceof RangeError) return error
    throw error
  }
}

function jsonOr(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return text
  }
}

/** Runs a target over so many cases; gives how often each outcome came. @throws what fast-check says of a broken law, with its seed. */
export async function fuzz(
  one: FuzzTarget,
  { cases, seed }: { cases: number; seed?: number },
): Promise<Readonly<Record<string, number>>> {
  const reached: Record<string, number> = {}
  const property = one.property((outcome) => (reached[outcome] = (reached[outcome] ?? 0) + 1))
  await fc.assert(property, { numRuns: cases, ...(seed === undefined ? {} : { seed }) })
  return reached
}

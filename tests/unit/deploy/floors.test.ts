import { spawnSync } from 'node:child_process'
import { cpSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { createTemporaryFolders } from '../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterAll(folders.removeAll)

/** A file that breaks a floor, what it imports, and the rule that must say so. */
const PLANTED: readonly [file: string, line: string, rule: string][] = [
  [
    'services/core/detect/a.ts',
    `import { readFileSync } from 'node:fs'\nexport const a = readFileSync`,
    'core-is-pure-no-node',
  ],
  ['services/core/detect/b.ts', `import { z } from 'zod'\nexport const b = z`, 'zod-in-core-model-only'],
  [
    'services/core/physics/c.ts',
    `import { x } from '../kernel/x.ts'\nexport const c = x`,
    'physics-and-statistics-import-model-alone',
  ],
  [
    'services/core/detect/d.ts',
    `import { x } from '../alarms/x.ts'\nexport const d = x`,
    'core-detect-looks-down-only',
  ],
  [
    'services/codecs/e.ts',
    `import { x } from '../core/kernel/x.ts'\nexport const e = x`,
    'codecs-import-model-and-libraries',
  ],
  [
    'services/adapters/mqtt/f.ts',
    `import { x } from '../records-sqlite/x.ts'\nexport const f = x`,
    'adapter-never-imports-another-adapter',
  ],
  [
    'services/web/g.ts',
    `import { x } from '../adapters/mqtt/x.ts'\nexport const g = x`,
    'web-reaches-storage-through-ports',
  ],
  ['services/monitor/h.ts', `import { x } from '../cli/x.ts'\nexport const h = x`, 'monitor-looks-down-only'],
  [
    'sensors/i.ts',
    `import { x } from '../services/core/kernel/x.ts'\nexport const i = x`,
    'sensors-import-model-and-codecs',
  ],
  [
    'sensors/j.ts',
    `import { x } from './simulator/x.ts'\nexport const j = x`,
    'sensor-node-without-simulator',
  ],
  [
    'dashboards/src/k.ts',
    `import { x } from '../../services/core/model/x.ts'\nexport const k = x`,
    'dashboards-import-types-only',
  ],
]

const ENDS = [
  'services/core/kernel',
  'services/core/alarms',
  'services/core/model',
  'services/adapters/records-sqlite',
  'services/adapters/mqtt',
  'services/cli',
  'sensors/simulator',
]

describe('the floors', () => {
  it('every planted import is caught by its rule', { timeout: 60_000 }, () => {
    const root = folders.make()
    const put = (file: string, text: string): void => {
      mkdirSync(dirname(join(root, file)), { recursive: true })
      writeFileSync(join(root, file), text)
    }
    for (const [file, text] of PLANTED) put(file, text)
    for (const end of ENDS) put(`${end}/x.ts`, 'export const x = 1')
    for (const file of ['.dependency-cruiser.cjs', 'tsconfig.json', 'package.json'])
      cpSync(resolve(file), join(root, file))
    symlinkSync(resolve('node_modules'), join(root, 'node_modules'))
    const args = [
      '--config',
      '.dependency-cruiser.cjs',
      '--output-type',
      'json',
      'services',
      'sensors',
      'dashboards',
    ]
    const { stdout } = spawnSync(resolve('node_modules/.bin/depcruise'), args, {
      cwd: root,
      encoding: 'utf8',
    })
    const { summary } = JSON.parse(stdout) as {
      summary: { violations: { from: string; rule: { name: string } }[] }
    }
    const caught = new Set(summary.violations.map((v) => `${v.from} ${v.rule.name}`))
    expect(PLANTED.map(([file, , rule]) => `${file} ${rule}`).filter((v) => !caught.has(v))).toEqual([])
  })
})

import { build } from 'esbuild'
import { chmod, rm } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { build as buildBoard } from 'vite'

/** Builds what runs: the board for the browser, the commands as one file, and beside it what runs in a thread of its own. Packages stay outside, in node_modules. */
const root = fileURLToPath(new URL('../../', import.meta.url))
const outfile = `${root}.build/nightcap.mjs`

await rm(`${root}.build`, { recursive: true, force: true })
await Promise.all([
  buildBoard({ configFile: `${root}dashboards/vite.config.ts`, logLevel: 'error' }),
  build({
    entryPoints: {
      nightcap: `${root}services/cli/main.ts`,
      'work-thread-entry': `${root}services/monitor/work-thread-entry.ts`,
    },
    outdir: `${root}.build`,
    outExtension: { '.js': '.mjs' },
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node20',
    packages: 'external',
    sourcemap: 'linked',
    banner: { js: '#!/usr/bin/env node' },
    logLevel: 'error',
  }),
])
await chmod(outfile, 0o755)

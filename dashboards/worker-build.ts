import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { build } from 'esbuild'
import type { Plugin } from 'vite'

/** The address of the worker must never change: a browser asks there for the next one. */
const WORKER_FILE = 'service-worker.js'

/**
 * Builds the service worker beside the board, with the list of the board's files and a hash over them written in:
 * another build is another hash, and the worker keeps the files of its own build alone.
 */
export function serviceWorker(root: string): Plugin {
  return {
    name: 'nightcap-service-worker',
    apply: 'build',
    enforce: 'post',
    generateBundle: {
      order: 'post',
      async handler(_, bundle) {
        const publicDir = join(root, 'public')
        const named = [
          ...Object.values(bundle).map((file) => ({
            path: `/${file.fileName}`,
            content: file.type === 'chunk' ? file.code : file.source,
          })),
          ...readdirSync(publicDir).map((name) => ({
            path: `/${name}`,
            content: readFileSync(join(publicDir, name)),
          })),
        ].sort((a, b) => (a.path < b.path ? -1 : 1))
        const worker = await build({
          entryPoints: [join(root, 'worker/service-worker.ts')],
          bundle: true,
          write: false,
          format: 'iife',
          target: 'es2022',
          minify: true,
          define: {
            BUILD_HASH: JSON.stringify(hashOf(named)),
            SHELL_FILES: JSON.stringify(named.map(({ path }) => (path === '/index.html' ? '/' : path))),
          },
        })
        this.emitFile({ type: 'asset', fileName: WORKER_FILE, source: worker.outputFiles[0]?.text ?? '' })
      },
    },
  }
}

function hashOf(files: readonly { path: string; content: string | Uint8Array }[]): string {
  const hash = createHash('sha256')
  for (const { path, content } of files) hash.update(path).update('\0').update(content).update('\0')
  return hash.digest('hex').slice(0, 16)
}

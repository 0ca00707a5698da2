import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { promisify } from 'node:util'
import { brotliCompress, constants, gzip } from 'node:zlib'
import type { Plugin } from 'vite'

const TEXTS = /\.(?:js|css|html|svg|webmanifest)$/
/** Below this the answer's headers weigh more than what is saved. */
const LEAST_BYTES = 500
const compressed = {
  '.br': (bytes: Buffer) =>
    promisify(brotliCompress)(bytes, {
      params: { [constants.BROTLI_PARAM_QUALITY]: constants.BROTLI_MAX_QUALITY },
    }),
  '.gz': (bytes: Buffer) => promisify(gzip)(bytes, { level: constants.Z_BEST_COMPRESSION }),
}

/** Puts every text of the board beside itself as Brotli (RFC 7932) and gzip (RFC 1952): a phone loads a third of it. */
export function compressedFiles(): Plugin {
  let outDir = ''
  return {
    name: 'nightcap-compressed-files',
    apply: 'build',
    configResolved({ root, build }) {
      outDir = resolve(root, build.outDir)
    },
    closeBundle: {
      // The public files are copied, and the service worker is written, by then.
      order: 'post',
      async handler() {
        const files = readdirSync(outDir, { recursive: true, withFileTypes: true })
          .filter((entry) => entry.isFile() && TEXTS.test(entry.name))
          .map((entry) => join(entry.parentPath, entry.name))
        await Promise.all(files.map(compress))
      },
    },
  }
}

async function compress(path: string): Promise<void> {
  const bytes = readFileSync(path)
  if (bytes.length < LEAST_BYTES) return
  for (const [ending, pack] of Object.entries(compressed)) writeFileSync(path + ending, await pack(bytes))
}

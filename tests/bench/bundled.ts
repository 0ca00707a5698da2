import { build } from 'esbuild'
import { mkdirSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const BUILD = fileURLToPath(new URL('../../.build/', import.meta.url))

/**
 * A part of the bench as one file, built as what runs is built: what compiles TypeScript on the fly names every function
 * anew at each call, and the figures of pure functions would tell of that.
 */
export async function bundled<Part>(name: string): Promise<Part> {
  mkdirSync(BUILD, { recursive: true })
  const outfile = `${BUILD}bench-${name}.mjs`
  await build({
    entryPoints: [fileURLToPath(new URL(`${name}.ts`, import.meta.url))],
    outfile,
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node20',
    packages: 'external',
    logLevel: 'error',
  })
  return (await import(outfile)) as Part
}

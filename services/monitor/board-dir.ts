import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const BESIDE_THE_BUNDLE = fileURLToPath(new URL('./board/', import.meta.url))
const FROM_SOURCE = fileURLToPath(new URL('../../.build/board/', import.meta.url))

/** Where the built board lies: beside the bundle, or, run from source, in `.build`. */
export function boardDir(): string {
  return existsSync(BESIDE_THE_BUNDLE) ? BESIDE_THE_BUNDLE : FROM_SOURCE
}

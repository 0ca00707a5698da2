import { z } from 'zod'

export const MANIFEST_FILE = 'manifest.json'
/** Of the folder as a whole: raised when a file of it changes its meaning. */
export const EXPORT_VERSION = 1

/** Files of a shop, in the order in which they are brought in again. */
export const SHOP_FILES = [
  'settings.yaml',
  'readings.csv.gz',
  'minutes.csv.gz',
  'logbook.jsonl',
  'disposals.jsonl',
] as const
export type ShopFile = (typeof SHOP_FILES)[number]

/** What is not in an export, for whoever reads the folder. */
export const LEFT_OUT = [
  'passwords, secrets of nodes and programs, keys of phones, and the addresses of webhooks, which may hold a key: give them again',
  'people: the logbook names them by their id alone',
  'alarms, tasks, what was learned, and notes of quarter hours: a backup holds those',
] as const

const manifestSchema = z.strictObject({
  format: z.literal('nightcap-export'),
  version: z.int().positive(),
  files: z.array(
    z.strictObject({
      name: z.enum(SHOP_FILES),
      rows: z.int().nonnegative(),
      sha256: z.string().regex(/^[0-9a-f]{64}$/),
    }),
  ),
  leftOut: z.array(z.string()),
})
export type ShopManifest = z.infer<typeof manifestSchema>

/** No time stands in it, so that the same shop gives the same files. */
export function toManifest(files: ShopManifest['files']): string {
  const manifest = { format: 'nightcap-export', version: EXPORT_VERSION, files, leftOut: LEFT_OUT }
  return `${JSON.stringify(manifest, null, 2)}\n`
}

/** The manifest, or what is wrong with it and the cure. */
export function parseManifest(text: string): ShopManifest | string {
  const version = z.object({ version: z.int() }).safeParse(jsonOf(text))
  if (version.success && version.data.version > EXPORT_VERSION)
    return `was written by a newer Nightcap (version ${version.data.version}, this one reads ${EXPORT_VERSION}): bring it in with the newer release`
  const parsed = manifestSchema.safeParse(jsonOf(text))
  return parsed.success
    ? parsed.data
    : `is no manifest of an export (${parsed.error.issues[0]?.message ?? 'unreadable'}): export the shop again`
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return null
  }
}

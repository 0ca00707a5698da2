import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'

/** A folder of real files in the shape of the kernel's /sys. */
export interface SysfsTree {
  readonly root: string
  /** Writes attributes below a folder; the kernel ends each with a line feed. */
  readonly write: (folder: string, attributes: Readonly<Record<string, string | number>>) => void
  readonly remove: (path: string) => void
  readonly path: (path: string) => string
}

export function createSysfsTree(): SysfsTree {
  const root = mkdtempSync(join(tmpdir(), 'nightcap-sysfs-'))
  return {
    root,
    write: (folder, attributes) => {
      for (const [name, value] of Object.entries(attributes)) {
        const file = join(root, folder, name)
        mkdirSync(dirname(file), { recursive: true })
        writeFileSync(file, `${value}\n`)
      }
    },
    remove: (path) => rmSync(join(root, path), { recursive: true, force: true }),
    path: (path) => join(root, path),
  }
}

import { spawnSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, statfsSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** A disk of its own that can be filled and made read-only for real: a file system in memory. */
export interface SmallDisk {
  /** For a data folder; the disk has room for a little more. */
  readonly folder: string
  /** Takes all that is free; gives the way to free it again. */
  readonly fill: () => { readonly free: () => void }
  /** Nothing may be open on it. */
  readonly makeReadOnly: () => void
  readonly close: () => void
}

/** Null where this user may not mount one: root alone may. */
export function createSmallDisk(mebibytes: number): SmallDisk | null {
  const mount = mkdtempSync(join(tmpdir(), 'nightcap-disk-'))
  if (run('mount', ['-t', 'tmpfs', '-o', `size=${mebibytes}m,mode=700`, 'tmpfs', mount]) !== 0) {
    rmSync(mount, { recursive: true })
    return null
  }
  const folder = join(mount, 'data')
  mkdirSync(folder, { mode: 0o700 })
  const filler = join(mount, 'filler')
  return {
    folder,
    fill: () => {
      const { bavail, bsize } = statfsSync(mount)
      try {
        writeFileSync(filler, Buffer.alloc(bavail * bsize))
      } catch (error) {
        // Whoever writes meanwhile took some of it: it is full all the same.
        if ((error as NodeJS.ErrnoException).code !== 'ENOSPC') throw error
      }
      return { free: () => rmSync(filler) }
    },
    makeReadOnly: () => {
      if (run('mount', ['-o', 'remount,ro', mount]) !== 0)
        throw new Error(`${mount} could not be made read-only`)
    },
    close: () => {
      run('umount', ['-l', mount])
      rmSync(mount, { recursive: true, force: true })
    },
  }
}

function run(command: string, args: readonly string[]): number | null {
  return spawnSync(command, args, { stdio: 'ignore' }).status
}

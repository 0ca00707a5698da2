import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

export interface TemporaryFolders {
  readonly make: () => string
  readonly removeAll: () => void
}

/** Folders of a test, gone when it is over. */
export function createTemporaryFolders(): TemporaryFolders {
  const made: string[] = []
  return {
    make: () => {
      const folder = mkdtempSync(join(tmpdir(), 'nightcap-test-'))
      made.push(folder)
      return folder
    },
    removeAll: () => made.splice(0).forEach((folder) => rmSync(folder, { recursive: true, force: true })),
  }
}

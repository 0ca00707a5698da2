import { chmodSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { createSealer } from '../../../../services/monitor/key-file.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterEach(folders.removeAll)

function open(anythingSealed = false) {
  const dir = folders.make()
  const keyFile = join(dir, 'key')
  const dataDir = join(dir, 'data')
  let sealed = anythingSealed
  const sealer = createSealer({ keyFile, dataDir, anythingSealed: () => sealed })
  return { dir, dataDir, keyFile, sealer, nowSealed: () => (sealed = true) }
}
const valueOf = (outcome: { ok: boolean; value?: string; reason?: string }): string =>
  outcome.ok ? (outcome.value ?? '') : `problem: ${outcome.reason ?? ''}`

describe('sealed secrets', () => {
  it('SEAL-1 what was sealed opens under its own name alone, and no two look the same', () => {
    const { sealer } = open()
    const sealed = valueOf(sealer.seal('mail', 'hush'))
    expect(sealed).not.toContain('hush')
    expect(valueOf(sealer.seal('mail', 'hush'))).not.toBe(sealed)
    expect(valueOf(sealer.open('mail', sealed))).toBe('hush')
    expect(valueOf(sealer.open('other', sealed))).toMatch(/^problem/)
    expect(valueOf(sealer.open('mail', `${sealed.slice(0, -2)}AA`))).toMatch(/^problem/)
    expect(valueOf(sealer.open('mail', 'v1.a.b'))).toMatch(/^problem/)
  })
  it('SEAL-2 the key file is made at first need, for this user alone; never again once something is sealed', () => {
    const { sealer, keyFile, nowSealed } = open()
    expect(sealer.problem()).toBeNull()
    expect(() => statSync(keyFile)).toThrow()
    sealer.seal('mail', 'hush')
    expect(statSync(keyFile).mode & 0o777).toBe(0o600)
    const key = readFileSync(keyFile, 'utf8')
    sealer.seal('mail', 'hush')
    expect(readFileSync(keyFile, 'utf8')).toBe(key)
    nowSealed()
    rmSync(keyFile)
    expect(sealer.derive('reply links')).toMatchObject({ ok: false })
    expect(sealer.problem()).toMatch(/is missing.*put it back/)
  })
  it('SEAL-3 a wrong, empty or readable key file, or one among the data, is told with its cure', () => {
    const { sealer, keyFile, dataDir, nowSealed } = open()
    const sealed = valueOf(sealer.seal('the mail password', 'hush'))
    nowSealed()
    writeFileSync(keyFile, Buffer.alloc(32, 7).toString('base64url'))
    expect(valueOf(sealer.open('the mail password', sealed))).toMatch(/not the key.*put the right file there/)
    chmodSync(keyFile, 0o644)
    expect(sealer.problem()).toMatch(/chmod 600/)
    chmodSync(keyFile, 0o600)
    writeFileSync(keyFile, 'short')
    expect(sealer.problem()).toMatch(/holds no key/)
    const within = createSealer({ keyFile: join(dataDir, 'key'), dataDir, anythingSealed: () => false })
    expect(valueOf(within.seal('a', 'b'))).toMatch(/within the data folder/)
  })
})

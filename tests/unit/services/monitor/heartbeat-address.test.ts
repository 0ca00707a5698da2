import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { heartbeatAddress } from '../../../../services/monitor/heartbeat-address.ts'
import { createTemporaryFolders } from '../../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterAll(() => folders.removeAll())

function addressIn(text: string, allowPrivate = false): () => string {
  const file = join(folders.make(), 'address')
  writeFileSync(file, text)
  const place = { url: { value: '', file }, method: 'POST', everyMs: 300_000, allowPrivate } as const
  return () => heartbeatAddress(place)
}

describe('an address for signs of life that stands in a file', () => {
  it('is taken without its line end', () => {
    expect(addressIn('https://signs.example.net/ping/known\n')()).toBe('https://signs.example.net/ping/known')
    expect(addressIn('http://10.0.0.7/ping', true)()).toBe('http://10.0.0.7/ping')
  })

  it.each(['', 'signs.example.net/ping/known', 'ftp://signs.example.net/known', 'two lines\nhttps://a.b'])(
    'is refused with the variable and the cure, and never quoted: %j',
    (text) => {
      expect(addressIn(text)).toThrow(
        /^NIGHTCAP_HEARTBEAT_URL_FILE: \S+: holds no address: write one line that begins with https:\/\/$/,
      )
      expect(addressIn(text)).not.toThrow(/known/)
    },
  )

  it('is refused where it would cross the network in the clear, as in the environment itself', () => {
    expect(addressIn('http://signs.example.net/ping/known')).toThrow(
      /in the clear. Use https:\/\/, or set NIGHTCAP_HEARTBEAT_PRIVATE=yes$/,
    )
  })
})

import { describe, expect, it } from 'vitest'
import { readFault } from '../../../../sensors/drivers/sysfs.ts'

describe('faults of the kernel in words', () => {
  // A disabled hwmon sensor answers ENODATA (Documentation/hwmon/sysfs-interface); no file in a test can do so.
  const cases = [
    ['ENODATA', /switched off: enable it/],
    ['ENOENT', /has gone, or the channel is misspelt/],
    ['EACCES', /the right to read it/],
    ['EIO', /check the sensor and its wiring/],
  ] as const
  it.each(cases)('SYSFS-1 %s names the file and the cure', (code, cure) => {
    const text = readFault('/sys/x', Object.assign(new Error('read'), { code }))
    expect(text).toContain(`/sys/x cannot be read (${code})`)
    expect(text).toMatch(cure)
  })
})

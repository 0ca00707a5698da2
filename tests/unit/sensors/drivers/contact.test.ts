import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createContactChannel, createDebouncedChannel } from '../../../../sensors/drivers/contact.ts'
import { createSysfsTree, type SysfsTree } from '../../../parts/sysfs-tree.ts'

let sysfs: SysfsTree
beforeEach(() => (sysfs = createSysfsTree()))
afterEach(() => sysfs.remove('.'))

const FOLDER = 'class/gpio/gpio17'
function contact(
  change: { activeLow?: boolean; debounceMs?: number } = {},
): ReturnType<typeof createContactChannel> {
  return createContactChannel({
    path: sysfs.path(`${FOLDER}/value`),
    activeLow: false,
    debounceMs: 5,
    ...change,
  })
}
function level(value: number | string): void {
  sysfs.write(FOLDER, { value })
}

describe('a contact that tells whether there is power', () => {
  it('CONTACT-1 1 means power, or 0 when it is active low', async () => {
    level(1)
    expect(await contact().read()).toEqual({ ok: true, value: true })
    expect(await contact({ activeLow: true }).read()).toEqual({ ok: true, value: false })
    level(0)
    expect(await contact().read()).toEqual({ ok: true, value: false })
    expect(await contact({ activeLow: true }).read()).toEqual({ ok: true, value: true })
  })

  it('CONTACT-2 a change that does not stand for debounceMs is not believed', async () => {
    const channel = contact({ debounceMs: 40 })
    level(1)
    await channel.read()
    level(0)
    const bounced = channel.read()
    setTimeout(() => level(1), 5)
    expect(await bounced).toEqual({ ok: true, value: true })
    level(0)
    expect(await channel.read()).toEqual({ ok: true, value: false })
  })

  it('CONTACT-3 one that never settles is a fault, and is believed again when it does', async () => {
    let looks = 0
    let isBouncing = true
    const look = async (): Promise<{ ok: true; value: boolean }> => ({
      ok: true,
      value: isBouncing && looks++ % 2 === 0,
    })
    const channel = createDebouncedChannel(look, { debounceMs: 1, path: 'the contact' })
    expect(await channel.read()).toEqual({
      ok: false,
      fault: 'the contact keeps changing: check the contact, or raise debounceMs',
    })
    expect(looks).toBeGreaterThan(2)
    isBouncing = false
    expect(await channel.read()).toEqual({ ok: true, value: false })
  })

  it('CONTACT-4 a missing file and another text are faults with a cure', async () => {
    expect(await contact().read()).toMatchObject({
      ok: false,
      fault: expect.stringContaining('ENOENT') as string,
    })
    level('high')
    expect(await contact().read()).toMatchObject({
      ok: false,
      fault: expect.stringMatching(/not 0 or 1/) as string,
    })
  })
})

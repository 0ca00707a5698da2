import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'

export type Found<T> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly fault: string }

/** A device folder of the kernel. Numbers such as `iio:device0` change from boot to boot; the name does not. */
export interface SysfsDevice {
  readonly id: string
  readonly path: string
  /** What its driver calls it, such as `hx711`; '' where it says nothing. */
  readonly name: string
  readonly attributes: readonly string[]
}

/** The devices below a folder whose names match; none where the folder is not there. */
export async function listDevices(folder: string, pattern: RegExp): Promise<readonly SysfsDevice[]> {
  const ids = (await entriesOf(folder)).filter((id) => pattern.test(id)).sort()
  return Promise.all(
    ids.map(async (id) => {
      const path = join(folder, id)
      const attributes = await entriesOf(path)
      const name = attributes.includes('name')
        ? await readFile(join(path, 'name'), 'utf8').catch(() => '')
        : ''
      return { id, path, name: name.trim(), attributes }
    }),
  )
}

/** The one device meant: by id or by name, or the only one that has what is wanted. */
export function chooseDevice(
  devices: readonly SysfsDevice[],
  { device, wanted, what }: { device: string | undefined; wanted: (d: SysfsDevice) => boolean; what: string },
): Found<SysfsDevice> {
  const named = devices.filter((d) => device === undefined || d.id === device || d.name === device)
  const able = named.filter(wanted)
  const [first, ...others] = able
  if (first && others.length === 0) return { ok: true, value: first }
  const shown = (list: readonly SysfsDevice[]): string =>
    list.length === 0 ? 'none' : list.map((d) => (d.name === '' ? d.id : `${d.id} (${d.name})`)).join(', ')
  if (others.length > 0) {
    return { ok: false, fault: `several devices give ${what}: set device to one of ${shown(able)}` }
  }
  if (device !== undefined && named.length === 0) {
    return {
      ok: false,
      fault: `there is no device ${device}: connect it, or set device to one of ${shown(devices)}`,
    }
  }
  return {
    ok: false,
    fault: `no device gives ${what} (found: ${shown(named)}): connect it, and check that its kernel driver is loaded`,
  }
}

/** The number that an attribute holds, or the fault in words. */
export async function readNumber(path: string): Promise<Found<number>> {
  let text: string
  try {
    text = (await readFile(path, 'utf8')).trim()
  } catch (error) {
    return { ok: false, fault: readFault(path, error) }
  }
  return DECIMAL.test(text)
    ? { ok: true, value: Number(text) }
    : {
        ok: false,
        fault: `${path} holds ${JSON.stringify(text.slice(0, 40))}, not a number: check the sensor's wiring`,
      }
}

const DECIMAL = /^[+-]?\d{1,15}(\.\d{1,15})?$/

export function readFault(path: string, error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : 'unknown error'
  return `${path} cannot be read (${code}): ${CURES[code] ?? 'check the sensor and its wiring'}`
}

const CURES: Readonly<Record<string, string>> = {
  ENOENT: 'the sensor has gone, or the channel is misspelt: check the cable and the config',
  ENODATA: 'the sensor is switched off: enable it in its driver',
  EACCES: "give the node's user the right to read it",
  EAGAIN: 'the sensor is busy: measure less often',
}

async function entriesOf(folder: string): Promise<readonly string[]> {
  return readdir(folder).catch(() => [])
}

import { mkdirSync, renameSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import type { Quantity } from '../../services/core/model/quantity.ts'
import type { Calibration } from '../calibration.ts'
import type { Sample } from '../sample.ts'

export interface IioTree {
  /** What a node's config takes as `sysfsRoot`. */
  readonly sysfsRoot: string
  /** File of the contact: 1 with power, 0 without. */
  readonly contactPath: string
  /** Two weighings of the load cell: nothing, and 2 kg. */
  readonly calibration: Calibration
  /**
   * Makes the tree say what was measured: of each quantity the latest sample. A device appears with its first
   * sample. A reader sees the old text or the new one, never an empty file.
   */
  readonly update: (samples: readonly Sample[]) => void
}

interface Attribute {
  /** Of the device, below the root; null for a file that stands alone. */
  readonly device: { readonly folder: string; readonly name: string } | null
  readonly path: string
  readonly text: (value: number) => string
  /** What stands beside it and never changes. */
  readonly fixed?: Readonly<Record<string, string>>
}

/** The kernel's hx711 driver: unsigned 24 bits around this middle, this scale in mV at 5 V and gain 128, no offset. */
const MIDDLE = 8_388_608
const LARGEST = 16_777_215
const SCALE_MV = '0.000002327'
/** A 5 kg cell of 1 mV/V at 5 V and gain 128 gives 429.4967 counts a gram; unloaded it stands a little above the middle. */
const COUNTS_PER_KG = 429_496.7296
const UNLOADED_RAW = MIDDLE + 134_848

const AIR_PROBE = { folder: 'bus/iio/devices/iio:device0', name: 'hdc3020' }
const AMPLIFIER = { folder: 'bus/iio/devices/iio:device1', name: 'hx711' }
const METER = { folder: 'class/hwmon/hwmon0', name: 'plugmeter' }
const CONTACT = 'class/gpio/gpio17/value'

/** Units of Linux 6.1, Documentation/ABI/testing/sysfs-bus-iio and sysfs-class-hwmon: thousandths, but power in microwatts. */
const ATTRIBUTES: Partial<Record<Quantity, Attribute>> = {
  humidity: { device: AIR_PROBE, path: 'in_humidityrelative_input', text: (pct) => whole(pct * 1000) },
  temperature: { device: AIR_PROBE, path: 'in_temp_input', text: (degC) => whole(degC * 1000) },
  mass: {
    device: AMPLIFIER,
    path: 'in_voltage0_raw',
    text: (kg) => whole(rawOf(kg)),
    fixed: { in_voltage0_scale: SCALE_MV },
  },
  power: { device: METER, path: 'power1_input', text: (watts) => whole(watts * 1e6) },
  powered: { device: null, path: CONTACT, text: (on) => (on === 0 ? '0' : '1') },
}

/**
 * A folder that looks to a sensor node like the kernel's sensors, fed by the simulator: so the real drivers are in
 * the loop. One tree stands for one computer, that is for one node.
 *
 * @throws {RangeError} from `update` on a quantity that such a computer does not measure.
 */
export function createIioTree({ root }: { readonly root: string }): IioTree {
  const scratch = join(root, '.writing')
  const begun = new Set<string>()
  mkdirSync(scratch, { recursive: true })

  const write = (path: string, text: string): void => {
    const whole = join(root, path)
    const half = join(scratch, 'half')
    mkdirSync(dirname(whole), { recursive: true })
    writeFileSync(half, `${text}\n`)
    renameSync(half, whole)
  }
  const begin = ({ device, fixed = {} }: Attribute): void => {
    if (!device || begun.has(device.folder)) return
    begun.add(device.folder)
    write(join(device.folder, 'name'), device.name)
    for (const [path, text] of Object.entries(fixed)) write(join(device.folder, path), text)
  }

  return {
    sysfsRoot: root,
    contactPath: join(root, CONTACT),
    calibration: { rawZero: rawOf(0), rawKnown: rawOf(2), knownKg: 2 },
    update: (samples) => {
      const latest = new Map(samples.map(({ quantity, value }) => [quantity, Number(value)]))
      for (const [quantity, value] of latest) {
        const attribute = ATTRIBUTES[quantity]
        if (!attribute)
          throw new RangeError(
            `quantity must be one of ${Object.keys(ATTRIBUTES).join(', ')}, got ${quantity}`,
          )
        begin(attribute)
        write(join(attribute.device?.folder ?? '', attribute.path), attribute.text(value))
      }
    },
  }
}

/** Saturates at both ends, as the converter does. */
function rawOf(kg: number): number {
  return Math.min(LARGEST, Math.max(0, Math.round(UNLOADED_RAW + kg * COUNTS_PER_KG)))
}

function whole(value: number): string {
  return String(Math.round(value))
}

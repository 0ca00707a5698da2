import { z } from 'zod'
import { nameSchema } from '../services/core/model/name.ts'
import { QUANTITIES } from '../services/core/model/quantity.ts'
import { calibrationSchema } from './calibration.ts'
import { PACK_RECORD_NAMES } from './pack.ts'
import { isLoopbackUrl } from './plaintext.ts'

const channelName = nameSchema.refine((name) => !(PACK_RECORD_NAMES as readonly string[]).includes(name), {
  error: `${PACK_RECORD_NAMES.join(', ')} are records of every pack: choose another name`,
})
const attribute = z.string().regex(/^[A-Za-z0-9_-]+$/, {
  error: 'give the attribute without folder and ending, such as in_voltage0 or power1',
})
const device = z
  .string()
  .regex(/^[A-Za-z0-9:._-]+$/, { error: 'give the name or the id of a device, such as hx711' })

const kernelChannel = { name: channelName, device: device.optional(), channel: attribute.optional() }
const channelSchema = z.discriminatedUnion(
  'driver',
  [
    z
      .strictObject({
        ...kernelChannel,
        driver: z.literal('iio'),
        quantity: z.enum(QUANTITIES).exclude(['powered']),
        calibration: calibrationSchema.optional(),
      })
      .superRefine(({ quantity, calibration }, context) => {
        if (quantity === 'mass' && !calibration) {
          context.addIssue({
            code: 'custom',
            path: ['calibration'],
            message: 'is missing: weigh nothing and a known mass, and give rawZero, rawKnown and knownKg',
          })
        }
        if (quantity !== 'mass' && calibration) {
          context.addIssue({
            code: 'custom',
            path: ['calibration'],
            message: 'is for mass alone: leave it out',
          })
        }
      }),
    z.strictObject({
      ...kernelChannel,
      driver: z.literal('hwmon'),
      quantity: z.enum(QUANTITIES).exclude(['powered', 'mass']),
    }),
    z.strictObject({
      name: channelName,
      driver: z.literal('contact'),
      quantity: z.literal('powered'),
      path: z.string().min(1, { error: 'give the file that holds 0 or 1' }),
      /** Does 0 mean that there is power? */
      activeLow: z.boolean().default(false),
      /** How long a change must stand, ms (starting value: a relay settles within some ms). */
      debounceMs: z.int().min(0).max(1000).default(50),
    }),
  ],
  { error: 'choose the driver: iio, hwmon or contact' },
)
export type ChannelConfig = z.infer<typeof channelSchema>

const brokerSchema = z
  .strictObject({
    url: z.string().refine((url) => toBrokerUrl(url) !== null, {
      error: 'give mqtts://host:port or mqtt://host:port, without user, password or path',
    }),
    /** PEM file of the one authority to trust. */
    caFile: z.string().min(1).optional(),
    /** File that holds the node's secret; else it comes from NIGHTCAP_NODE_SECRET. */
    secretFile: z.string().min(1).optional(),
    /** The owner's word that the secret may cross the network in the clear. */
    allowPlaintext: z.boolean().default(false),
  })
  .superRefine(({ url, caFile, allowPlaintext }, context) => {
    const parsed = toBrokerUrl(url)
    if (parsed?.protocol !== 'mqtt:') return
    if (caFile !== undefined) {
      context.addIssue({
        code: 'custom',
        path: ['caFile'],
        message: 'is of no use without encryption: use mqtts:// in url',
      })
    }
    if (!isLoopbackUrl(parsed) && !allowPlaintext) {
      context.addIssue({
        code: 'custom',
        path: ['url'],
        message: 'would send the secret in the clear: use mqtts://, or set allowPlaintext: true knowingly',
      })
    }
  })

const DAY_MS = 86_400_000

/** The config file of one sensor node. Keys that it does not know are refused: they are misspelt. */
export const nodeConfigSchema = z.strictObject({
  site: nameSchema,
  node: nameSchema,
  broker: brokerSchema,
  /** From one measuring to the next. 10 s to see a room; a contact may want less (starting value). */
  everyMs: z.int().min(500).max(3_600_000).default(10_000),
  sysfsRoot: z.string().min(1).default('/sys'),
  channels: z
    .array(channelSchema)
    .min(1, { error: 'give at least one channel' })
    .max(64)
    .superRefine((channels, context) => {
      channels.forEach(({ name }, i) => {
        if (channels.findIndex((c) => c.name === name) === i) return
        context.addIssue({
          code: 'custom',
          path: [i, 'name'],
          message: `${name} is used twice: give each channel its own name`,
        })
      })
    }),
  outbox: z.strictObject({
    directory: z.string().min(1, { error: 'give a folder in which packs can wait' }),
    /** 64 MB hold weeks of a small node (starting value). */
    maxBytes: z
      .int()
      .min(64 * 1024)
      .max(10_000_000_000)
      .default(64_000_000),
    /** The monitor judges readings up to 72 h late and stores older ones (starting value: a week). */
    maxAgeMs: z
      .int()
      .min(60_000)
      .default(7 * DAY_MS),
  }),
})
export type NodeConfig = z.infer<typeof nodeConfigSchema>

function toBrokerUrl(text: string): URL | null {
  if (!URL.canParse(text)) return null
  const url = new URL(text)
  const bare =
    url.username === '' &&
    url.password === '' &&
    ['', '/'].includes(url.pathname) &&
    url.search === '' &&
    url.hash === ''
  return bare && url.hostname !== '' && ['mqtt:', 'mqtts:'].includes(url.protocol) ? url : null
}

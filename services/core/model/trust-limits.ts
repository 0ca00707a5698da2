import { z } from 'zod'

const minutes = (n: number) => n * 60_000
const hours = (n: number) => minutes(n * 60)
const spanMs = z
  .int()
  .min(0)
  .max(hours(24 * 60))
/** Shorter, and an ordinary sensor in an ordinary hour would be called stuck. */
const stillSpanMs = z
  .int()
  .min(minutes(10))
  .max(hours(24 * 60))
const times = z.int().min(1).max(1000)

/**
 * When a sensor is no longer believed. All are starting values (no source) that were held against open data of two
 * good rooms, where the longest stretch without a change was 3.2 h for humidity and 8 h for temperature, and the
 * longest step between two readings ten minutes apart was 3.6 %RH and 0.9 K.
 */
export const trustLimitsSchema = z.strictObject({
  humidity: z
    .strictObject({
      /** Air of a workplace is never drier, ... */
      lowestPct: z.number().min(0).max(50),
      /** ... nor damper: from here on a sensor is wet. The air outside may be saturated. */
      highestPct: z.number().min(50).max(100),
      outdoorsHighestPct: z.number().min(50).max(100),
      /** Two readings that follow each other differ by no more than this ... */
      jumpPct: z.number().positive().max(100),
      /** ... and this for each minute between them. */
      slopePctPerMin: z.number().min(0).max(100),
      /** A sensor that is seen to tell steps as small as this flickers all day; one that rounds more stands still. */
      fineStepPct: z.number().positive().max(100),
      stillMs: stillSpanMs,
      /** For a sensor that rounds more, or was never seen to change, and for any outdoors, where fog lasts days. */
      coarseStillMs: stillSpanMs,
      /** How far apart two sensors of one room may be. */
      apartPct: z.number().positive().max(100),
    })
    .default({
      lowestPct: 2,
      highestPct: 99.5,
      outdoorsHighestPct: 100,
      jumpPct: 15,
      slopePctPerMin: 2,
      fineStepPct: 0.2,
      stillMs: hours(8),
      coarseStillMs: hours(72),
      apartPct: 10,
    }),
  temperature: z
    .strictObject({
      lowestC: z.number().min(-60).max(120),
      highestC: z.number().min(-60).max(120),
      jumpK: z.number().positive().max(100),
      slopeKPerMin: z.number().min(0).max(100),
      fineStepK: z.number().positive().max(100),
      stillMs: stillSpanMs,
      coarseStillMs: stillSpanMs,
      apartK: z.number().positive().max(100),
    })
    .refine((t) => t.lowestC < t.highestC, {
      path: ['highestC'],
      error: 'highestC must be above lowestC',
    })
    .default({
      lowestC: -30,
      highestC: 60,
      jumpK: 4,
      slopeKPerMin: 0.5,
      fineStepK: 0.1,
      stillMs: hours(24),
      coarseStillMs: hours(24 * 14),
      apartK: 5,
    }),
  /** A scale that rounds more than this is never called stuck: a bottle may rightly stay as it is. */
  mass: z
    .strictObject({ fineStepKg: z.number().positive().max(100), stillMs: stillSpanMs })
    .default({ fineStepKg: 0.0005, stillMs: hours(96) }),
  /** Fewer equal readings than this prove nothing, however far apart. */
  stillReadings: times.default(10),
  /** Not believed after this many bad readings, over at least `overMs`, none more than `gapMs` after the one before. */
  bad: z
    .strictObject({ readings: times, overMs: spanMs, gapMs: spanMs })
    .default({ readings: 5, overMs: minutes(2), gapMs: hours(1) }),
  /** Believed again after this many good ones in a row, for as long as it was bad, within these bounds. */
  good: z
    .strictObject({ readings: times, atLeastMs: spanMs, atMostMs: spanMs })
    .default({ readings: 10, atLeastMs: minutes(30), atMostMs: hours(24) }),
  /** Out of step after this long at the limit, sooner when further apart; in step again after `backMs`. */
  apart: z
    .strictObject({
      forMs: spanMs,
      backMs: spanMs,
      /** Sun, rain and walls part two sensors outdoors by this many times more. */
      outdoorsTimes: z.number().min(1).max(100),
    })
    .default({ forMs: hours(12), backMs: hours(2), outdoorsTimes: 2 }),
  /** A node's clock is wrong when this many packs within this time were refused as from the future. */
  clockAhead: z.strictObject({ times, withinMs: spanMs }).default({ times: 3, withinMs: minutes(10) }),
  /** Packs are missing when they did not come late either, and lost after `lostAfterMs` without a further one missing. */
  readingsMissing: z
    .strictObject({ forMs: spanMs, lostAfterMs: spanMs })
    .default({ forMs: minutes(5), lostAfterMs: hours(24) }),
})
export type TrustLimits = z.infer<typeof trustLimitsSchema>

/** What holds until the owner says otherwise. */
export const STARTING_TRUST_LIMITS: TrustLimits = trustLimitsSchema.parse({})

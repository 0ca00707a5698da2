const RESAMPLES = 2000

/** Sums over the judged times of one night. */
export interface Night {
  readonly week: number
  readonly times: number
  readonly humidityError: number
  readonly humidityHeld: number
  readonly temperatureError: number
  readonly temperatureHeld: number
  readonly inside: number
}

export interface RoomScore {
  readonly title: string
  readonly nights: number
  /** Nights with too little past for paths; they are not judged. */
  readonly withoutPaths: number
  readonly errorPct: number
  readonly heldErrorPct: number
  /** Mean absolute error of relative humidity below persistence, as a share: 0.2 is 20 % better. */
  readonly gain: number
  /** 95 % interval of the gain; weeks are drawn whole. */
  readonly gainLow: number
  readonly gainHigh: number
  /** The same for temperature. */
  readonly temperatureGain: number
  /** Share of measured values within the 80 % band. */
  readonly cover: number
}

/** A room, or several pooled, night by night. */
export interface JudgedRoom {
  readonly title: string
  readonly nights: readonly Night[]
  readonly withoutPaths: number
}

export function scoreOf({ title, nights, withoutPaths }: JudgedRoom): RoomScore {
  const total = (of: (night: Night) => number) => nights.reduce((sum, night) => sum + of(night), 0)
  const times = total((n) => n.times)
  const [gainLow, gainHigh] = gainInterval(nights)
  return {
    title,
    nights: nights.length,
    withoutPaths,
    errorPct: total((n) => n.humidityError) / times,
    heldErrorPct: total((n) => n.humidityHeld) / times,
    gain: gainOf(nights),
    gainLow,
    gainHigh,
    temperatureGain: 1 - total((n) => n.temperatureError) / total((n) => n.temperatureHeld),
    cover: total((n) => n.inside) / times,
  }
}

function gainOf(nights: readonly Night[]): number {
  let error = 0
  let held = 0
  for (const night of nights) {
    error += night.humidityError
    held += night.humidityHeld
  }
  return 1 - error / held
}

/** Block bootstrap: whole weeks are drawn with replacement, since neighbouring nights are alike. */
function gainInterval(nights: readonly Night[]): [number, number] {
  const weeks = [...new Set(nights.map((n) => n.week))].map((week) => nights.filter((n) => n.week === week))
  const draw = createDraw(20_160_111)
  const gains = Array.from({ length: RESAMPLES }, () =>
    gainOf(weeks.flatMap(() => weeks[Math.floor(draw() * weeks.length)] ?? [])),
  )
  gains.sort((a, b) => a - b)
  return [gains[Math.round(RESAMPLES * 0.025)] ?? NaN, gains[Math.round(RESAMPLES * 0.975) - 1] ?? NaN]
}

/** The same draws every time: a linear congruential generator (Numerical Recipes' constants), 0 to 1. */
function createDraw(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0
    return state / 2 ** 32
  }
}

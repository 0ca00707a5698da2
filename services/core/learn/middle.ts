/** Median: the middle value, or the mean of the two in the middle. @throws {RangeError} of no values. */
export function middleOf(values: readonly number[]): number {
  if (values.length === 0) throw new RangeError('there is no middle of no values')
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[half - 1] ?? NaN)) / 2
}

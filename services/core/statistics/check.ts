/** Guards at the door of this folder: what is no number, or out of range, is refused with its name and the cure. */

/** @throws {RangeError} if `value` is NaN or not finite. */
export function mustBeFinite(name: string, value: number): void {
  if (!Number.isFinite(value)) throw new RangeError(`${name} must be a finite number, got ${value}`)
}

/** @throws {RangeError} naming the place of the first value that is NaN or not finite. */
export function mustAllBeFinite(name: string, values: readonly number[]): void {
  const at = values.findIndex((v) => !Number.isFinite(v))
  if (at >= 0) throw new RangeError(`${name}[${at}] must be a finite number, got ${values[at] ?? 'nothing'}`)
}

/** @throws {RangeError} if `value` is no whole number from 0 on. */
export function mustBeCount(name: string, value: number): void {
  if (!(Number.isSafeInteger(value) && value >= 0)) {
    throw new RangeError(`${name} must be a whole number from 0 on, got ${value}`)
  }
}

/** @throws {RangeError} if `confidence` is not above 0 and below 1. */
export function mustBeConfidence(confidence: number): void {
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence must be above 0 and below 1, got ${confidence}`)
  }
}

/** @throws {RangeError} if a value is no share of 0 to 1. */
export function mustAllBeShares(name: string, values: readonly number[]): void {
  const at = values.findIndex((v) => !(v >= 0 && v <= 1))
  if (at >= 0) throw new RangeError(`${name}[${at}] must be 0 to 1, got ${values[at] ?? 'nothing'}`)
}

/** @throws {RangeError} if two lists that belong together differ in length. */
export function mustMatch(names: string, a: number, b: number): void {
  if (a !== b) throw new RangeError(`${names} must have the same length, got ${a} and ${b}`)
}

import { parseArgs, type ParseArgsConfig } from 'node:util'

/** The command was called in a way it does not understand; the message names the option and the cure. */
export class UsageError extends Error {
  override readonly name = 'UsageError'
}

/** Options of a command; an unknown one is refused, not ignored. @throws {UsageError} */
export function readOptions<T extends NonNullable<ParseArgsConfig['options']>>(
  args: readonly string[],
  options: T,
) {
  try {
    return parseArgs({ args: [...args], options, strict: true, allowPositionals: false }).values
  } catch (error) {
    throw new UsageError(error instanceof Error ? error.message : String(error))
  }
}

/** Options of a command that also takes names without a dash before them. @throws {UsageError} when there are more than `most`. */
export function readOptionsAndNames<T extends NonNullable<ParseArgsConfig['options']>>(
  args: readonly string[],
  options: T,
  most: number,
) {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options,
      strict: true,
      allowPositionals: true,
    })
    if (positionals.length > most)
      throw new UsageError(
        `it takes ${most === 1 ? 'one name' : `${most} names`} at most, got ${positionals.join(' ')}`,
      )
    return { values, names: positionals }
  } catch (error) {
    throw error instanceof UsageError
      ? error
      : new UsageError(error instanceof Error ? error.message : String(error))
  }
}

/** A number option within bounds. @throws {UsageError} naming the option, the bounds and what was given. */
export function numberOption(name: string, text: string, { min, max }: { min: number; max: number }): number {
  const value = Number(text)
  if (!(value >= min && value <= max))
    throw new UsageError(`--${name} takes a number from ${min} to ${max}, got ${text}`)
  return value
}

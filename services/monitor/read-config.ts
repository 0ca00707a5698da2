import { readFileSync } from 'node:fs'
import { parseConfig, type ConfigOutcome, type Secret } from './config.ts'

/** The only place that reads the environment. */
export function readConfig(): ConfigOutcome {
  return parseConfig(process.env)
}

/** A secret file cannot be read. */
export class SecretFileError extends Error {
  override readonly name = 'SecretFileError'
  readonly code = 'SECRET_FILE'
}

/** The secret itself, from its file when there is one. @throws {SecretFileError} naming the file, never its content. */
export function readSecret({ value, file }: Secret): string {
  if (file === null) return value
  try {
    return readFileSync(file, 'utf8').trim()
  } catch (cause) {
    throw new SecretFileError(
      `the secret file ${file} cannot be read: see that it exists and that this user may read it`,
      { cause },
    )
  }
}

/** The value of one variable as it was given, or undefined. */
export function readVariable(name: string): string | undefined {
  return process.env[name]
}

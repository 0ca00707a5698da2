import type { TestContext } from 'vitest'
import { HOST_PROGRAMS, hasProgram } from './programs.ts'

declare module 'vitest' {
  interface TaskMeta {
    skipReason?: string
  }
}

/** Skips the running test with a reason that reaches the report. */
export function skipBecause(context: TestContext, reason: string): never {
  context.task.meta.skipReason = reason
  return context.skip(reason)
}

/** Skips the running test when a program is missing, and says how to get it. */
export function requireProgram(context: TestContext, command: string): void {
  if (hasProgram(command)) return
  const known = HOST_PROGRAMS.find((p) => p.command === command)
  skipBecause(context, `${command} is missing: apt-get install ${known?.debianPackage ?? command}`)
}

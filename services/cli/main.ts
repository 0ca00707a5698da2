import { backup } from './backup.ts'
import { check } from './check.ts'
import { demo } from './demo.ts'
import { restore } from './restore.ts'
import { exportCommand } from './export.ts'
import { importCommand } from './import.ts'
import { sense } from './sense.ts'
import { serve } from './serve.ts'
import { UsageError } from './usage-error.ts'

const COMMANDS: Readonly<
  Record<string, { run: (args: readonly string[]) => Promise<number>; does: string }>
> = {
  serve: { run: serve, does: 'runs the monitor' },
  demo: { run: demo, does: 'runs an invented shop with live simulated sensors' },
  sense: { run: sense, does: 'runs a sensor node' },
  export: { run: exportCommand, does: 'writes readings, settings or the whole shop to files' },
  import: {
    run: importCommand,
    does: 'brings readings, or the export of a shop, into a monitor that is not running',
  },
  check: { run: check, does: 'says what is wrong with this set-up, and the cure' },
  backup: { run: backup, does: 'makes a checked copy of the book of record, while the monitor runs' },
  restore: { run: restore, does: 'puts a backup in the place of the book of record' },
}

/** Trying again does not help: a person has to do something about the data folder first. */
const MEND_FIRST = ['RECORDS_CORRUPT', 'RECORDS_NEWER', 'KERNEL_VERSION']

process.exitCode = await main(process.argv.slice(2))

async function main([name = 'help', ...args]: readonly string[]): Promise<number> {
  const command = COMMANDS[name]
  if (!command) {
    const asked = ['help', '--help', '-h'].includes(name)
    if (!asked) console.error(`nightcap has no command ${JSON.stringify(name)}.\n`)
    console.log(
      `usage: nightcap COMMAND\n\n${Object.entries(COMMANDS)
        .map(([n, c]) => `  ${n.padEnd(8)}${c.does}`)
        .join('\n')}`,
    )
    return asked ? 0 : 2
  }
  try {
    return await command.run(args)
  } catch (error) {
    // A fault of ours or of the machine keeps its stack; what the caller can mend is one line.
    const told = error instanceof UsageError || (error instanceof Error && 'code' in error)
    console.error(told ? `nightcap ${name}: ${(error as Error).message}` : error)
    if (error instanceof UsageError) return 2
    return error instanceof Error && 'code' in error && MEND_FIRST.includes(String(error.code)) ? 3 : 1
  }
}

import { checkSetUp } from '../monitor/check-set-up.ts'
import { ENVIRONMENT } from '../monitor/environment.ts'
import type { Finding } from '../monitor/finding.ts'
import { boardDir } from '../monitor/board-dir.ts'
import { readConfig, readVariable } from '../monitor/read-config.ts'
import { readOptions } from './usage-error.ts'

/** `nightcap check`: every environment variable with its value in force, then what is wrong and the cure. Ends with 1 when something is. */
export async function check(args: readonly string[]): Promise<number> {
  readOptions(args, {})
  console.log('Environment\n')
  for (const variable of ENVIRONMENT) {
    const given = readVariable(variable.name)
    const shown =
      'secret' in variable && given ? '(set, not shown)' : (given ?? (variable.fallback || '(none)'))
    console.log(
      `  ${variable.name.padEnd(30)} ${shown.padEnd(18)} ${given === undefined ? 'default' : 'given  '}  ${variable.meaning}`,
    )
  }
  console.log('\nSet-up\n')
  const outcome = readConfig()
  const findings: readonly Finding[] = outcome.ok
    ? await checkSetUp(outcome.config, { boardDir: boardDir() })
    : outcome.problems.map((text) => ({ ok: false, text }))
  for (const { ok, text } of findings) console.log(`  ${ok ? 'ok   ' : 'WRONG'}  ${text}`)
  const wrong = findings.filter((f) => !f.ok).length
  console.log(
    wrong === 0 ? '\nNothing is wrong.' : `\n${wrong} ${wrong === 1 ? 'thing is' : 'things are'} wrong.`,
  )
  return wrong === 0 ? 0 : 1
}

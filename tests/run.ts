import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { auditLibraries } from './host/audit.ts'
import { installHostPrograms } from './host/install.ts'
import { judgeSkips, type SkippedTest } from './host/skips.ts'

/**
 * `npm test`: everything that this place can have. Installs what a Debian machine lacks when run as root, then checks
 * types, style and floors, builds, and runs the tests. Prints what was skipped and why; under CI a skip of what
 * could have been installed is a failure.
 */
const root = fileURLToPath(new URL('../', import.meta.url))
const ci = process.env['CI'] === 'true'

interface TestReport {
  readonly numPassedTests: number
  readonly numFailedTests: number
  readonly numPendingTests: number
  readonly testResults: readonly {
    readonly name: string
    readonly assertionResults: readonly { status: string; fullName: string; meta?: { skipReason?: string } }[]
  }[]
}

process.exitCode = main(process.argv.slice(2))

function main(filters: readonly string[]): number {
  installHostPrograms()
  const checks: [string, string[]][] = [
    ['types', ['run', '--silent', 'typecheck']],
    ['style', ['run', '--silent', 'lint']],
    ['floors', ['run', '--silent', 'floors']],
    ['build', ['run', '--silent', 'build']],
  ]
  const failedChecks = checks.filter(([name, args]) => {
    const started = performance.now()
    const { status } = spawnSync('npm', args, { cwd: root, stdio: 'inherit' })
    console.log(
      `${status === 0 ? 'ok' : 'FAILED'}  ${name} (${((performance.now() - started) / 1000).toFixed(1)} s)`,
    )
    return status !== 0
  })
  const audit = auditLibraries(root)
  console.log(audit.line)
  const report = runVitest(filters)
  if (!report) return 1
  const verdict = judgeSkips(skippedIn(report), { ci })
  for (const line of verdict.lines) console.log(line)
  const failed = report.numFailedTests + failedChecks.length + verdict.failures + Number(audit.failed)
  console.log(
    `${report.numPassedTests + checks.length - failedChecks.length} passed, ${failed} failed, ${report.numPendingTests} skipped`,
  )
  return failed === 0 ? 0 : 1
}

function runVitest(filters: readonly string[]): TestReport | null {
  mkdirSync(`${root}.build`, { recursive: true })
  const outputFile = `${root}.build/test-report.json`
  const { status } = spawnSync(
    'npx',
    [
      'vitest',
      'run',
      '--config',
      'tests/vitest.config.ts',
      '--reporter=default',
      '--reporter=json',
      `--outputFile.json=${outputFile}`,
      ...filters,
    ],
    { cwd: root, stdio: 'inherit' },
  )
  if (!existsSync(outputFile)) {
    console.error(`vitest stopped with ${status} and left no report`)
    return null
  }
  return JSON.parse(readFileSync(outputFile, 'utf8')) as TestReport
}

function skippedIn(report: TestReport): SkippedTest[] {
  return report.testResults.flatMap((file) =>
    file.assertionResults
      .filter((test) => test.status === 'skipped' || test.status === 'pending')
      .map((test) => ({
        file: file.name.replace(root, ''),
        test: test.fullName,
        reason: test.meta?.skipReason ?? null,
      })),
  )
}

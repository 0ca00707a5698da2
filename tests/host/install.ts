import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { HOST_PROGRAMS, hasProgram } from './programs.ts'

/** As root on Debian, installs the programs that tests need and says so. `NIGHTCAP_TEST_NO_INSTALL=1` forbids it. */
export function installHostPrograms(): void {
  const missing = HOST_PROGRAMS.filter((p) => !hasProgram(p.command))
  if (missing.length === 0) return
  const packages = missing.map((p) => p.debianPackage)
  const why = whyNot()
  if (why) {
    for (const p of missing)
      console.log(
        `missing ${p.command} (${p.neededFor}): ${why}. Get it with: apt-get install ${p.debianPackage}`,
      )
    return
  }
  console.log(`installing from Debian: ${packages.join(', ')} (NIGHTCAP_TEST_NO_INSTALL=1 forbids it)`)
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' }
  for (const args of [
    ['update', '-qq'],
    ['install', '-y', '-qq', '--no-install-recommends', ...packages],
  ]) {
    const { status } = spawnSync('apt-get', args, { env, stdio: ['ignore', 'ignore', 'inherit'] })
    if (status !== 0)
      console.log(`apt-get ${args[0]} ended with ${status}: the tests that need it will be skipped`)
  }
}

function whyNot(): string | null {
  if (process.env['NIGHTCAP_TEST_NO_INSTALL'] === '1') return 'NIGHTCAP_TEST_NO_INSTALL forbids installing'
  if (!existsSync('/etc/debian_version')) return 'this is not Debian'
  return process.getuid?.() === 0 ? null : 'not run as root'
}

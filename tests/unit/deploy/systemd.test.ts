import { spawnSync } from 'node:child_process'
import { chmodSync, cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { parseConfig } from '../../../services/monitor/config.ts'
import { ENVIRONMENT } from '../../../services/monitor/environment.ts'
import { skipBecause } from '../../host/require.ts'
import { hasProgram } from '../../host/programs.ts'
import { createTemporaryFolders } from '../../parts/temporary-folder.ts'

const folders = createTemporaryFolders()
afterAll(folders.removeAll)

const UNITS = 'services/monitor'
const names = readdirSync(UNITS).filter((name) => /\.(service|timer)$/.test(name))
const services = names.filter((name) => name.endsWith('.service'))

/** Lines of a unit file by key. */
function settingsOf(name: string): Map<string, string[]> {
  const settings = new Map<string, string[]>()
  for (const line of readFileSync(join(UNITS, name), 'utf8').split('\n')) {
    const [, key, value] = /^([A-Za-z]+)=(.*)$/.exec(line) ?? []
    if (key !== undefined && value !== undefined) settings.set(key, [...(settings.get(key) ?? []), value])
  }
  return settings
}
function environmentOf(name: string): Record<string, string> {
  const pairs = settingsOf(name).get('Environment') ?? []
  return Object.fromEntries(pairs.map((pair) => pair.split(/=(.*)/).slice(0, 2) as [string, string]))
}

/** A tree that looks like the computer that the units are for, so that nothing is missing but what is wrong. */
function rootWithUnits(): string {
  const root = folders.make()
  for (const folder of ['etc/systemd/system', 'usr/bin', 'usr/lib/systemd/system', 'opt/nightcap/.build'])
    mkdirSync(join(root, folder), { recursive: true })
  for (const name of names) cpSync(join(UNITS, name), join(root, 'etc/systemd/system', name))
  const system = ['/usr/lib/systemd/system', '/lib/systemd/system'].find((folder) => existsSync(folder))
  if (system)
    cpSync(system, join(root, 'usr/lib/systemd/system'), { recursive: true, verbatimSymlinks: true })
  writeFileSync(join(root, 'usr/bin/node'), '#!/bin/sh\n')
  chmodSync(join(root, 'usr/bin/node'), 0o755)
  return root
}

describe('the units for systemd', () => {
  it('are the monitor, the backup and its timer', () => {
    expect(names.sort()).toEqual(['nightcap-backup.service', 'nightcap-backup.timer', 'nightcap.service'])
  })

  it.each(services)(
    'UNIT-1 %s passes only variables that the configuration knows, with values that it takes',
    (name) => {
      const known = new Set<string>(ENVIRONMENT.map((v) => v.name))
      const given = environmentOf(name)
      expect(Object.keys(given).filter((variable) => !known.has(variable))).toEqual([])
      expect(parseConfig(given)).toMatchObject({ ok: true })
    },
  )

  it('UNIT-2 secrets come as credentials: none stands in the unit, and each file named is one that is handed over', () => {
    const handedOver = settingsOf('nightcap.service').get('LoadCredential') ?? []
    const secretNames = new Set<string>(ENVIRONMENT.filter((v) => 'secret' in v).map((v) => v.name))
    for (const [name, value] of Object.entries(environmentOf('nightcap.service'))) {
      expect([name, secretNames.has(name)]).toEqual([name, false])
      if (/(PASSWORD|TOKEN|URL)_FILE$/.test(name)) expect(handedOver).toContain(value.replace('%d/', ''))
    }
  })

  it.each(services)(
    'UNIT-3 %s may write to its own folders alone, as a user of its own, without any privilege',
    (name) => {
      const settings = settingsOf(name)
      const one = (key: string): string | undefined => settings.get(key)?.[0]
      expect(one('DynamicUser')).toBe('yes')
      expect([one('ProtectSystem'), one('ProtectHome'), one('UMask')]).toEqual(['strict', 'yes', '0077'])
      expect([one('CapabilityBoundingSet'), one('NoNewPrivileges')]).toEqual(['', 'yes'])
      expect(settings.has('ReadWritePaths')).toBe(false)
      const folders = (one('StateDirectory') ?? '').split(' ').map((folder) => `/var/lib/${folder}`)
      const { NIGHTCAP_DATA_DIR: data = '', NIGHTCAP_KEY_FILE: key } = environmentOf(name)
      expect(folders).toContain(data)
      if (key !== undefined)
        expect([key.startsWith(`${data}/`), folders.some((f) => key.startsWith(`${f}/`))]).toEqual([
          false,
          true,
        ])
    },
  )

  it('UNIT-4 the monitor is started again after a crash, not after what its owner must mend first, and is given time to stop', () => {
    const settings = settingsOf('nightcap.service')
    expect(settings.get('Restart')).toEqual(['on-failure'])
    expect(settings.get('RestartPreventExitStatus')).toEqual(['2 3'])
    expect(Number(settings.get('TimeoutStopSec')?.[0])).toBeGreaterThanOrEqual(10)
    // No watchdog is claimed that nothing would feed.
    expect([settings.get('Type'), settings.has('WatchdogSec')]).toEqual([['exec'], false])
  })

  it('UNIT-5 systemd finds nothing wrong with them', (context) => {
    if (!hasProgram('systemd-analyze'))
      skipBecause(context, 'systemd-analyze is missing: apt-get install systemd')
    const root = rootWithUnits()
    const { status, stderr } = spawnSync('systemd-analyze', ['verify', `--root=${root}`, ...names], {
      encoding: 'utf8',
    })
    expect([status, stderr.split('\n').filter((line) => line.includes('nightcap'))]).toEqual([0, []])
  })

  it.for(services)(
    'UNIT-6 by the measure of systemd %s is exposed little (under 2 of 10)',
    (name, context) => {
      if (!hasProgram('systemd-analyze'))
        skipBecause(context, 'systemd-analyze is missing: apt-get install systemd')
      const folder = folders.make()
      cpSync(join(UNITS, name), join(folder, name))
      const run = ['security', '--offline=true', '--threshold=20', '--no-pager', join(folder, name)]
      const { status, stdout } = spawnSync('systemd-analyze', run, { encoding: 'utf8' })
      const measured = Number(/exposure level for \S+: (\d+\.\d)/.exec(stdout)?.[1])
      expect([status, measured < 2]).toEqual([0, true])
    },
  )
})

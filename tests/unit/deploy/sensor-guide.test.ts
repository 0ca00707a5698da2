import { execFileSync } from 'node:child_process'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { saturationVapourPressureKpa } from '../../../services/core/physics/air.ts'
import { parseNodeConfig } from '../../../sensors/load-config.ts'
import { requireProgram } from '../../host/require.ts'

const GUIDE = readFileSync('sensors/README.md', 'utf8')
const UNIT = 'sensors/nightcap-sense.service'
const RULES = readFileSync('sensors/70-nightcap-sensors.rules', 'utf8')

/** The values that a unit gives a key, in order. */
function valuesOf(unit: string, key: string): string[] {
  return [...unit.matchAll(new RegExp(`^${key}=(.*)$`, 'gm'))].map((m) => m[1] ?? '')
}

describe('the guide to building a node', () => {
  it('shows a config that a node takes', () => {
    const [, yaml = ''] = /```yaml\n([\s\S]*?)```/.exec(GUIDE) ?? []
    expect(parseNodeConfig(yaml, '/etc/nightcap')).toMatchObject({ ok: true, value: { node: 'bench' } })
  })

  it('shows every drawing that there is, each with words for who cannot see it', () => {
    const shown = [...GUIDE.matchAll(/!\[(.+?)\]\((drawings\/[a-z]+\.svg)\)/g)].map((m) => m[2] ?? '')
    expect(shown.map((s) => s.replace('drawings/', '')).sort()).toEqual(
      readdirSync('sensors/drawings').sort(),
    )
    for (const file of shown) expect(readFileSync(`sensors/${file}`, 'utf8')).toMatch(/<title[^>]*>\S[^<]+/)
  })

  it('says rightly what a body that is 1 K too warm does to the humidity that it shows', () => {
    const shownPct = (50 * saturationVapourPressureKpa(22)) / saturationVapourPressureKpa(23)
    expect(50 - shownPct).toBeCloseTo(3, 0)
  })

  it('puts the cautions before the parts', () => {
    const [caution, parts] = [GUIDE.indexOf('**Cautions'), GUIDE.indexOf('| to see')]
    expect(caution).toBeGreaterThan(0)
    expect(caution).toBeLessThan(parts)
    expect(GUIDE).toMatch(/licensed electrician by the local code/)
  })
})

describe('the node as a service', () => {
  const unit = readFileSync(UNIT, 'utf8')

  it('is a unit that systemd takes, and gives the node little', (context) => {
    requireProgram(context, 'systemd-analyze')
    if (existsSync('/usr/bin/node')) {
      expect(execFileSync('systemd-analyze', ['verify', UNIT], { encoding: 'utf8' })).toBe('')
    }
    const told = execFileSync('systemd-analyze', ['security', '--offline=true', UNIT], { encoding: 'utf8' })
    const exposure = Number(/Overall exposure level for \S+: ([\d.]+)/.exec(told)?.[1])
    expect(exposure).toBeLessThan(2.5)
  })

  it('runs the command of this package as a user of its own, with a folder of its own', () => {
    expect(valuesOf(unit, 'ExecStart')).toEqual([
      '/usr/bin/node /opt/nightcap/.build/nightcap.mjs sense --config /etc/nightcap/node.yaml',
    ])
    expect(valuesOf(unit, 'User')).toEqual(['nightcap'])
    expect(valuesOf(unit, 'StateDirectory')).toEqual(['nightcap-sense'])
  })

  it('waits for neither network nor clock, since a node measures without them', () => {
    expect(valuesOf(unit, 'After').join(' ')).not.toMatch(/network|time/)
  })

  it('belongs to the group that the rules let read sensors, and they give nothing but reading', () => {
    expect(valuesOf(unit, 'SupplementaryGroups')).toEqual(['nightcap-sensors'])
    expect(RULES).toContain('chgrp -R -P nightcap-sensors')
    expect([...RULES.matchAll(/chmod -R (\S+)/g)].map((m) => m[1])).toEqual(['g+rX', 'g+rX', 'g+rX'])
  })
})

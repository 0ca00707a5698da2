import { spawnSync } from 'node:child_process'

/** A program that some tests need, and the Debian package that brings it. */
export interface HostProgram {
  readonly command: string
  readonly debianPackage: string
  readonly neededFor: string
}

export const HOST_PROGRAMS: readonly HostProgram[] = [
  { command: 'chromium', debianPackage: 'chromium', neededFor: 'tests in a real browser' },
  { command: 'mosquitto', debianPackage: 'mosquitto', neededFor: 'tests behind another broker' },
  { command: 'influxd', debianPackage: 'influxdb', neededFor: 'tests of the history store' },
  { command: 'systemd-analyze', debianPackage: 'systemd', neededFor: 'tests of the units for systemd' },
  { command: 'openssl', debianPackage: 'openssl', neededFor: 'tests over TLS' },
  { command: 'systemd-analyze', debianPackage: 'systemd', neededFor: 'tests of the service units' },
]

export function hasProgram(command: string): boolean {
  return spawnSync('sh', ['-c', `command -v ${command}`], { stdio: 'ignore' }).status === 0
}

import { existsSync, statfsSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import { lookAtRecords } from '../adapters/records-sqlite/look-at-records.ts'
import type { Settings } from '../core/model/settings.ts'
import { fine, wrong, type Finding } from './finding.ts'

/** Magic numbers of tmpfs and ramfs (statfs(2)): what lies there is gone after the next start. */
const VOLATILE = [0x0102_1994, 0x8584_58f6]

export interface RecordsFindings {
  readonly findings: readonly Finding[]
  readonly settings: Settings | null
}

/** Disk, book of record, and what the shop's own settings leave open. Changes nothing. */
export function checkRecords(dataDir: string): RecordsFindings {
  const disk = checkDisk(dataDir)
  try {
    const look = lookAtRecords(dataDir)
    switch (look.state) {
      case 'none':
        return { findings: disk, settings: null }
      case 'damaged':
        return {
          findings: [
            ...disk,
            wrong(
              `${look.path} is damaged (${look.damage}): put a backup in its place with nightcap restore`,
            ),
          ],
          settings: null,
        }
      case 'earlier':
        return {
          findings: [
            ...disk,
            fine(
              `${look.path} is of an earlier release (schema ${look.schema}): the next start brings it up to date`,
            ),
          ],
          settings: null,
        }
      case 'good':
        return {
          findings: [
            ...disk,
            fine(`${look.path} is whole`),
            ...(look.owners === 0
              ? [
                  wrong(
                    'the shop has no owner yet: open the address that nightcap serve printed, with its code',
                  ),
                ]
              : []),
            ...(look.settings ? checkShop(look.settings) : []),
          ],
          settings: look.settings,
        }
    }
  } catch (error) {
    return {
      findings: [...disk, wrong(error instanceof Error ? error.message : String(error))],
      settings: null,
    }
  }
}

/** Whether the disk keeps what is written; how much room it has is told with the monitor's own health. */
function checkDisk(dataDir: string): readonly Finding[] {
  const path = existsSync(dataDir) ? resolve(dataDir) : dirname(resolve(dataDir))
  if (!existsSync(path) || !VOLATILE.includes(statfsSync(path).type)) return []
  return [wrong('NIGHTCAP_DATA_DIR lies in memory and is gone after the next start: name a folder on a disk')]
}

/** What the settings leave open so that the shop is not watched as its owner thinks. */
export function checkShop(settings: Settings): readonly Finding[] {
  const { machines, sensors, contacts, rooms, bottles } = settings
  const findings: Finding[] = []
  const heard = (kind: string, id: string): boolean =>
    sensors.some(({ subject }) => subject.kind === kind && subject.id === id)
  if (machines.length === 0) findings.push(wrong('no machine is set up: add one under Setup'))
  if (settings.hours.weekly.length === 0)
    findings.push(wrong('no opening hours are set, so it counts as night all day: set them under Setup'))
  if (contacts.length === 0)
    findings.push(wrong('nobody is told at night: add somebody under Setup, Who is told'))
  for (const { id, title, push, mail, webhookUrl } of contacts) {
    if (push || mail !== undefined || webhookUrl !== undefined) continue
    findings.push(
      wrong(`${title} (${id}) is asked at night but cannot be reached: give mail, phone or webhook`),
    )
  }
  if (contacts.some((c) => c.mail !== undefined) && !settings.mail)
    findings.push(wrong('a contact has a mail address, but no mail server is set: set it under Who is told'))
  for (const { id, title } of rooms) {
    if (machines.some((m) => m.room === id) && !heard('room', id))
      findings.push(wrong(`no sensor measures the air of ${title}: assign one under Sensors`))
  }
  for (const { id, title } of machines) {
    if (!heard('machine', id))
      findings.push(
        wrong(`nothing tells whether ${title} has power: assign a meter or a contact under Sensors`),
      )
  }
  for (const { id, title } of bottles) {
    if (!heard('bottle', id)) findings.push(wrong(`no scale weighs ${title}: assign one under Sensors`))
  }
  return findings.length > 0
    ? findings
    : [fine(`${settings.site.title}: machines, sensors, hours and contacts are set`)]
}

import { z } from 'zod'

/** People are owner, operator, technician or viewer (a wall screen). A program holds a token; a node only publishes. */
export const ROLES = ['owner', 'operator', 'technician', 'viewer', 'program', 'node'] as const
export const roleSchema = z.enum(ROLES)
export type Role = z.infer<typeof roleSchema>

export const PERMISSIONS = {
  seeBoard: ['owner', 'operator', 'technician', 'viewer', 'program'],
  seeTasks: ['owner', 'operator', 'technician', 'viewer', 'program'],
  signOffTasks: ['owner', 'operator', 'technician'],
  planTasks: ['owner', 'operator', 'technician'],
  manageCalendars: ['owner'],
  seeDisposals: ['owner', 'operator', 'technician'],
  acknowledgeAlarms: ['owner', 'operator', 'technician'],
  logNozzleChecks: ['owner', 'operator', 'technician', 'program'],
  seeLogbook: ['owner', 'operator', 'technician'],
  writeLogbook: ['owner', 'operator', 'technician'],
  importLogbook: ['owner', 'technician'],
  workOnMachines: ['owner', 'operator', 'technician', 'program'],
  shelveAlarms: ['owner', 'technician'],
  seeAlarmMeasures: ['owner', 'operator', 'technician', 'viewer', 'program'],
  doClosing: ['owner', 'operator', 'technician'],
  logDisposals: ['owner', 'operator', 'technician'],
  useOwnDevice: ['owner', 'operator', 'technician'],
  seeCauses: ['owner', 'technician'],
  manageTelling: ['owner'],
  planQuiet: ['owner', 'operator', 'technician'],
  seeLearned: ['owner', 'technician'],
  acceptLearned: ['owner', 'technician'],
  seeReadings: ['owner', 'operator', 'technician', 'program'],
  exportReadings: ['owner', 'technician'],
  seeSensors: ['owner', 'technician', 'program'],
  seeQuarantine: ['owner', 'technician'],
  seeSettings: ['owner', 'technician'],
  runReruns: ['owner', 'technician'],
  changeSettings: ['owner'],
  manageNodes: ['owner'],
  managePeople: ['owner'],
  managePrograms: ['owner'],
  seeMetrics: ['owner', 'technician', 'program'],
  publishReadings: ['node'],
} as const satisfies Record<string, readonly Role[]>
export type Permission = keyof typeof PERMISSIONS

/** The one question asked by every route, screen and test. */
export function may(role: Role, permission: Permission): boolean {
  return (PERMISSIONS[permission] as readonly Role[]).includes(role)
}

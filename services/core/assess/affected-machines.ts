import type { Machine, Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'

/** The machines that suffer when something is wrong with this subject, in the order of the settings. */
export function affectedMachines(subject: Subject, settings: Settings): readonly Machine[] {
  switch (subject.kind) {
    case 'room':
      return settings.machines.filter((m) => m.room === subject.id)
    case 'machine':
      return settings.machines.filter((m) => m.id === subject.id)
    case 'head':
      return settings.machines.filter((m) => m.heads.some((h) => h.id === subject.id))
    case 'channelGroup':
      return settings.machines.filter((m) =>
        m.heads.some((h) => h.channelGroups.some((c) => c.id === subject.id)),
      )
    case 'bottle': {
      const machines = settings.bottles.find((b) => b.id === subject.id)?.machines ?? []
      return settings.machines.filter((m) => machines.includes(m.id))
    }
    case 'sensor': {
      const bound = settings.sensors.find((s) => s.id === subject.id)?.subject
      return bound ? affectedMachines(bound, settings) : []
    }
    case 'node': {
      const bound = settings.sensors.filter((s) => s.id.startsWith(`${subject.id}/`))
      return settings.machines.filter((m) =>
        bound.some((s) => affectedMachines(s.subject, settings).includes(m)),
      )
    }
    case 'site':
      return settings.machines
  }
}

import { affectedMachines } from '../assess/affected-machines.ts'
import type { Quantity } from '../model/quantity.ts'
import type { Machine, SensorBinding, Settings } from '../model/settings.ts'
import type { Subject } from '../model/subject.ts'

/**
 * What a person calls a subject: its title; ink by its machine, "White ink of Roll 60"; a sensor without a title by
 * what it measures where, "humidity in Print floor". What the settings do not know is called by its id.
 */
export function titleOf(subject: Subject, settings: Settings): string {
  switch (subject.kind) {
    case 'site':
      return settings.site.title
    case 'room':
      return titleIn(settings.rooms, subject.id)
    case 'machine':
      return titleIn(settings.machines, subject.id)
    case 'bottle':
      return titleIn(settings.bottles, subject.id)
    case 'node':
      return titleIn(settings.nodes, subject.id)
    case 'head':
      return headTitle(subject, settings)
    case 'channelGroup':
      return inkTitle(subject, settings)
    case 'sensor': {
      const binding = settings.sensors.find((s) => s.id === subject.id)
      return binding ? (binding.title ?? measuredWhere(binding, settings)) : subject.id
    }
  }
}

/** The same at the beginning of a sentence. */
export function atStart(title: string): string {
  return `${title.charAt(0).toUpperCase()}${title.slice(1)}`
}

/** The title of the machine that a subject is, or is a part of; its own where it is no part of one. */
export function machineTitleOf(subject: Subject, settings: Settings): string {
  return affectedMachines(subject, settings)[0]?.title ?? titleOf(subject, settings)
}

/** The node or device that a sensor's id names. */
export function nodeIdOf({ kind, id }: Subject): string {
  return kind === 'sensor' ? (id.split('/')[0] ?? id) : id
}

/** What a person goes to when a sensor or its node is not heard: the node by its title, else what the sensor measures. */
export function nodeTitleOf(subject: Subject, settings: Settings): string {
  const id = nodeIdOf(subject)
  const known = settings.nodes.some((n) => n.id === id)
  return known ? titleIn(settings.nodes, id) : atStart(titleOf(subject, settings))
}

function titleIn(list: readonly { id: string; title?: string | undefined }[], id: string): string {
  return list.find((s) => s.id === id)?.title ?? id
}

function headTitle(subject: Subject, settings: Settings): string {
  const machine = affectedMachines(subject, settings)[0]
  const head = machine?.heads.find((h) => h.id === subject.id)
  return machine && head ? `${head.title} of ${machine.title}` : subject.id
}

function inkTitle(subject: Subject, settings: Settings): string {
  const machine = affectedMachines(subject, settings)[0]
  const head = machine?.heads.find((h) => h.channelGroups.some((c) => c.id === subject.id))
  const group = head?.channelGroups.find((c) => c.id === subject.id)
  if (!machine || !head || !group) return subject.id
  const ink = /\binks?\b/i.test(group.title) ? group.title : `${group.title} ink`
  return `${ink}${installedHeads(machine) > 1 ? ` (${head.title})` : ''} of ${machine.title}`
}

function installedHeads({ heads }: Machine): number {
  return heads.filter((h) => h.removedOn === undefined).length
}

const MEASURED: Readonly<Record<Quantity, string>> = {
  humidity: 'humidity in',
  temperature: 'temperature in',
  mass: 'weight of',
  power: 'power of',
  powered: 'power contact at',
  voltage: 'voltage at',
  current: 'current of',
}

function measuredWhere({ quantity, subject }: SensorBinding, settings: Settings): string {
  const where = titleOf(subject, settings)
  return subject.kind === 'site' ? `mains detector of ${where}` : `${MEASURED[quantity]} ${where}`
}

import type { Care } from '../../../services/core/model/act.ts'
import type { Permission } from '../../../services/core/model/permissions.ts'
import type { BoardView, MachineView } from '../../../services/core/model/views.ts'
import { quietOf } from './machine-words.ts'

/** What a person at a machine says they did, or found. */
export type MachineAct =
  | { readonly kind: 'care'; readonly care: Care }
  | { readonly kind: 'servicing'; readonly servicing: boolean }
  | { readonly kind: 'cap'; readonly capped: boolean }
  | { readonly kind: 'errorStop'; readonly stopped: boolean }
  | { readonly kind: 'outOfService' }
  | { readonly kind: 'inService'; readonly quietId: string }

export interface Sayable {
  /** Plain words on the button. */
  readonly label: string
  /** What is read out and shown once it was taken. */
  readonly noted: string
  readonly act: MachineAct
  readonly permission: Permission
}

type Shop = Pick<BoardView, 'quiets' | 'nowMs'>

/** What can be said about a machine as it stands now: nothing that is said already, and nothing it has no part for. */
export function sayables(machine: MachineView, shop: Shop): readonly Sayable[] {
  return [
    ...careSayables(machine),
    ...handSayables(machine, shop),
    ...errorSayables(machine),
    ...quietSayables(machine, shop),
  ]
}

function careSayables({ inks }: MachineView): readonly Sayable[] {
  const care = (kind: Care, label: string, noted: string): Sayable => ({
    label,
    noted,
    act: { kind: 'care', care: kind },
    permission: 'workOnMachines',
  })
  const hasWhite = inks.length === 0 || inks.some((i) => i.ink === 'white')
  return [
    care('cleaned', 'I cleaned the heads', 'Noted: the heads were cleaned.'),
    care('partlyCleaned', 'I did a short cleaning', 'Noted: a short cleaning.'),
    care('printed', 'I printed', 'Noted: it printed.'),
    ...(hasWhite ? [care('whiteStirred', 'I stirred the white', 'Noted: the white was stirred.')] : []),
  ]
}

function handSayables({ servicedUntilMs, cap }: MachineView, { nowMs }: Shop): readonly Sayable[] {
  const isServiced = servicedUntilMs !== null && servicedUntilMs > nowMs
  const permission = 'workOnMachines'
  const working: Sayable = isServiced
    ? {
        label: 'I am done; the head is capped',
        noted: 'Noted: done, and the head is capped.',
        act: { kind: 'servicing', servicing: false },
        permission,
      }
    : {
        label: 'I am working on it',
        noted: 'Noted: you are working on it. Say so here when you are done.',
        act: { kind: 'servicing', servicing: true },
        permission,
      }
  const off: Sayable = {
    label: 'The head is off its cap',
    noted: 'Noted: the head is off its cap.',
    act: { kind: 'cap', capped: false },
    permission,
  }
  const on: Sayable = {
    label: 'The head is on its cap',
    noted: 'Noted: the head is on its cap.',
    act: { kind: 'cap', capped: true },
    permission,
  }
  // "I am done" says of the cap what `on` says. A guess may be wrong either way, so both can be said of it.
  const mayBeOff = cap !== 'capped' && !isServiced
  return [working, ...(mayBeOff ? [on] : []), ...(cap === 'uncapped' ? [] : [off])]
}

function errorSayables({ alarm }: MachineView): readonly Sayable[] {
  const permission = 'workOnMachines'
  const stopped: Sayable = {
    label: 'It stopped on an error',
    noted: 'Noted: it stopped on an error.',
    act: { kind: 'errorStop', stopped: true },
    permission,
  }
  const runs: Sayable = {
    label: 'It runs again',
    noted: 'Noted: it runs again.',
    act: { kind: 'errorStop', stopped: false },
    permission,
  }
  // The board shows the first alarm alone, so a stop may stand behind another: "it runs again" can always be said.
  return alarm?.condition === 'stoppedOnError' ? [runs] : [stopped, runs]
}

function quietSayables({ id, outOfService }: MachineView, shop: Shop): readonly Sayable[] {
  const quiet = quietOf(id, 'outOfService', shop)
  if (!outOfService || !quiet) {
    return [
      {
        label: 'Out of service until I say so',
        noted: 'Noted: out of service. Nobody is told about it until you say that it is back.',
        act: { kind: 'outOfService' },
        permission: 'planQuiet',
      },
    ]
  }
  return [
    {
      label: quiet.machineId === null ? 'The shop is back in service' : 'It is back in service',
      noted: 'Noted: back in service.',
      act: { kind: 'inService', quietId: quiet.id },
      permission: 'planQuiet',
    },
  ]
}

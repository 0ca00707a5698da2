import type { Machine, Settings } from '../../../services/core/model/settings.ts'
import type { PowerPicture } from '../api/setup-api.ts'

/** As typed; an empty text is nothing. */
export interface BandsGiven {
  readonly offBelowW: string
  readonly cleaningFromW: string
  readonly cleaningToW: string
  readonly printingFromW: string
  readonly printingToW: string
}

type Band = [number, number]

/** What the form begins with: the bands in force. */
export function bandsFrom({ offBelowW, cleaningW, printingW }: PowerPicture['inForce']): BandsGiven {
  const text = (w: number | undefined): string => (w === undefined ? '' : String(Number(w.toPrecision(4))))
  return {
    offBelowW: text(offBelowW),
    cleaningFromW: text(cleaningW?.[0]),
    cleaningToW: text(cleaningW?.[1]),
    printingFromW: text(printingW?.[0]),
    printingToW: text(printingW?.[1]),
  }
}

/**
 * The settings with these bands instead of learned ones, or what is wrong with them.
 *
 * BANDS-1 a band has both ends, low first; bands stand above "off" and do not overlap.
 * BANDS-2 how long a cleaning takes stays as it was told.
 */
export function withBands(
  settings: Settings,
  machineId: string,
  given: BandsGiven,
): { settings: Settings; fault: '' } | { settings: null; fault: string } {
  const refuse = (fault: string) => ({ settings: null, fault }) as const
  const offBelowW = Number(given.offBelowW)
  if (given.offBelowW === '' || !(offBelowW > 0)) return refuse('Say below how many watts the machine is off.')
  const cleaning = bandOf(given.cleaningFromW, given.cleaningToW)
  const printing = bandOf(given.printingFromW, given.printingToW)
  if (cleaning === 'wrong' || printing === 'wrong')
    return refuse('Give both ends of a band, the lower one first, or leave both empty.')
  const bands = [cleaning, printing].filter((b) => b !== null).sort((a, b) => a[0] - b[0])
  if (bands.some(([low]) => low < offBelowW)) return refuse('A band must not begin below "off".')
  const [first, second] = bands
  if (first && second && second[0] < first[1]) return refuse('Cleaning and printing overlap: part the two.')
  return {
    fault: '',
    settings: withMachine(settings, machineId, (machine) => ({
      ...machine,
      offBelowW,
      powerBandsW: {
        ...(cleaning ? { cleaning } : {}),
        ...(printing ? { printing } : {}),
        ...(machine.powerBandsW?.cleaningS ? { cleaningS: machine.powerBandsW.cleaningS } : {}),
        insteadOfLearned: true,
      },
    })),
  }
} // prettier-ignore

/** BANDS-3 nothing told by hand is left, so what is learned holds again. */
export function withoutBands(settings: Settings, machineId: string): Settings {
  return withMachine(settings, machineId, (machine) => {
    const rest = { ...machine }
    delete rest.powerBandsW
    return rest
  })
}

function withMachine(settings: Settings, id: string, edit: (machine: Machine) => Machine): Settings {
  return { ...settings, machines: settings.machines.map((m) => (m.id === id ? edit(m) : m)) }
}

function bandOf(from: string, to: string): Band | null | 'wrong' {
  if (from === '' && to === '') return null
  const band: Band = [Number(from), Number(to)]
  return from !== '' && to !== '' && band[0] < band[1] ? band : 'wrong'
}

import type { PowerPicture } from '../api/setup-api.ts'

type InForce = PowerPicture['inForce']

export const FROM_WORDS: Readonly<Record<InForce['from'], string>> = {
  learned: 'Learned from the machine’s own past.',
  told: 'Told by hand.',
  startingValues: 'Not learned yet: only on and off are told apart.',
}

/** The bands in watts, one line each. */
export function bandLines({ offBelowW, standbyTopW, cleaningW, printingW }: InForce): string[] {
  return [
    `Off: below ${watts(offBelowW)}`,
    ...(standbyTopW === null ? [] : [`Standby: up to ${watts(standbyTopW)}`]),
    ...(cleaningW === null ? [] : [`Cleaning: ${range(cleaningW)}`]),
    ...(printingW === null ? [] : [`Printing: ${range(printingW)}`]),
  ]
}

/** What was learned anew and moved far, beside what holds. */
export function waitingWords({ cleaningW, printingW, offBelowW }: NonNullable<PowerPicture['waiting']>, inForce: InForce): string {
  const parts = [
    ...moved('off below', watts(offBelowW), watts(inForce.offBelowW)),
    ...moved('cleaning', cleaningW && range(cleaningW), inForce.cleaningW && range(inForce.cleaningW)),
    ...moved('printing', printingW && range(printingW), inForce.printingW && range(inForce.printingW)),
  ]
  const what = parts.length === 0 ? 'how the bands stand apart' : parts.join('; ')
  return `Learned anew, and moved by over a fifth, so it waits for you: ${what}.`
} // prettier-ignore

function moved(name: string, is: string | null, was: string | null): string[] {
  return is === was ? [] : [`${name} ${is ?? 'not told apart'} (now ${was ?? 'not told apart'})`]
}

function range([low, high]: readonly [number, number]): string {
  return `${number(low)} to ${watts(high)}`
}

function watts(w: number): string {
  return `${number(w)}\u00A0W`
}

function number(value: number): string {
  return String(Number(value.toPrecision(3)))
}

import { durationText } from '../../model/clock-text.ts'
import type { WhyOf } from './why-words.ts'

export const powerWhy: WhyOf<'powerLost' | 'leftOff' | 'powerFlickering' | 'mainsLost'> = {
  powerLost: ({ limits: { powerOff } }) => ({
    rule: `A machine is on record as off after ${durationText(powerOff.closedMs)} without power while the shop is closed, or after ${durationText(powerOff.openMs)} at any time. The first sign of power at the machine ends it; a sensor that is silent says nothing.`,
    limit: (limits) => [limits.powerOff.closedMs, limits.powerOff.openMs],
    numbers: [
      { label: 'Wait, shop closed', value: durationText(powerOff.closedMs) },
      { label: 'Wait, shop open', value: durationText(powerOff.openMs) },
    ],
  }),
  leftOff: ({ limits: { powerOff } }) => ({
    rule: `A machine was left off when it went off while the shop was open, and is still off ${durationText(powerOff.closedMs)} after closing. The first sign of power ends it.`,
    limit: (limits) => limits.powerOff.closedMs,
    numbers: [{ label: 'Wait after closing', value: durationText(powerOff.closedMs) }],
  }),
  powerFlickering: ({ limits: { flickering } }) => ({
    rule: `Power comes and goes when it falls ${flickering.times} times within ${durationText(flickering.withinMs)}. It is over when it has not fallen for as long.`,
    limit: (limits) => limits.flickering,
    measured: { label: 'Falls', text: (falls) => String(Math.round(falls)) },
    numbers: [
      { label: 'Limit', value: `${flickering.times} falls within ${durationText(flickering.withinMs)}` },
    ],
  }),
  mainsLost: ({ limits: { powerOff } }) => ({
    rule: `The shop is without mains when every mains detector that speaks has said so for ${durationText(powerOff.closedMs)}, at any hour. The first sign of mains ends it.`,
    limit: (limits) => limits.powerOff.closedMs,
    numbers: [{ label: 'Wait', value: durationText(powerOff.closedMs) }],
  }),
}

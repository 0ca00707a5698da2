/**
 * What every task that needs it says in the same words. Common practice, no source; all of it defers to the machine's
 * manual, to local codes and to licensed practice.
 */

export const MANUAL_FIRST =
  "The machine's own manual goes first. Follow its service position and isolation before reaching in."
export const LOOK_BEFORE_TOUCHING =
  'Look before you touch: smoke, a smell of burning, water, a tripped breaker or residual-current device? Then leave everything off and call an electrician.'
export const ELECTRICIAN =
  'If a breaker or residual-current device tripped, or anything is wet, leave it off and call an electrician. Never open mains wiring.'
export const PLUG_IN_METER =
  'Measure power only with an isolated plug-in meter or clamp. Anything fixed to the mains is work for a licensed electrician.'
export const NOZZLE_FACE = 'Never touch the nozzle face, and never push a carriage that is not free.'
export const GLOVES = 'Wear gloves and eye protection with cleaning solution and waste ink.'
export const LOCAL_RULES =
  'Waste ink is regulated differently from place to place: follow your local rules, or a licensed hauler.'
export const WATER_AWAY = 'Keep the water of the humidifier away from sockets, cables and machines.'
export const SLIPPERY =
  'Ink on the floor is slippery. If it reached a socket or a cable, keep off and call an electrician.'
export const LOW_VOLTAGE =
  'Low-voltage side only. Anything fixed to the mains is work for a licensed electrician.'
export const HEATER = 'Never leave a heater running unwatched, nor near film, powder or solvents.'
export const FIRE = 'Smoke or a smell of burning: leave the room, and call the fire service.'
export const NO_SAFETY_ALARM =
  'Nightcap is no fire, leak or safety alarm: what you see and smell goes before what it says.'

export const PROTECTION = 'Gloves and eye protection'

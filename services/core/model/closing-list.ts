/**
 * The closing list as a shop finds it: common practice, no source, and all of it the owner's to change. The machine's
 * own manual goes first.
 */
const MANUAL = "The machine's own manual goes first: follow its service position before reaching in."
const FACE = 'Never touch the nozzle face, and never push a carriage that is not free.'
const GLOVES = 'Gloves and eye protection with cleaning solution.'

export const READY_MADE_CLOSING_STEPS = [
  machine('wiper', 'Wipe the wiper blade with a swab and cleaning solution, then with a clean one', {
    picture: 'swabWiper',
    cautions: [MANUAL, FACE, GLOVES],
  }),
  machine('cap-edge', 'Wipe around the capping station with a swab, then with a clean one', {
    picture: 'swabCap',
    cautions: [MANUAL, FACE, GLOVES],
  }),
  machine('head-edge', 'Clean around the head where build-up shows, never the nozzle face', {
    picture: 'swabHead',
    cautions: [MANUAL, FACE, GLOVES],
  }),
  machine('cap-seal', 'Cap wetted, its seal clean and whole', { picture: 'swabCap', cautions: [MANUAL] }),
  machine('ink-levels', 'Ink levels looked at'),
  machine('white-moved', 'White ink stirred or moved'),
  machine('film-out', 'Film out of the machine'),
  machine('nozzle-check', 'Nozzle check printed and logged: it is what the morning is held against'),
  machine('home', 'Carriage sent home, head on its cap', {
    picture: 'home',
    cautions: [FACE],
    confirmedBy: 'headCapped',
  }),
  machine('cover', 'Cover shut'),
  machine('tube', "Waste tube in the bottle's neck", { picture: 'tube' }),
  machine('bottle', 'Waste bottle has room for the night', {
    picture: 'tube',
    cautions: [GLOVES, 'Waste ink by your local rules.'],
    confirmedBy: 'bottleCanTakeTheNight',
  }),
  machine('left-on', 'Machine left on, so that it can clean itself', { confirmedBy: 'powerOn' }),
  shop('heat-off', 'Heaters, shaker and oven off'),
  shop('humidifier', 'Humidifier filled', {
    cautions: ['Keep its water away from sockets, cables and machines.'],
  }),
  shop('air', 'Air of the rooms in range', { confirmedBy: 'roomInRange' }),
]

interface More {
  readonly picture?: string
  readonly cautions?: readonly string[]
  readonly confirmedBy?: string
}

function machine(id: string, text: string, more: More = {}): Record<string, unknown> {
  return { id, text, of: 'machine', ...more }
}

function shop(id: string, text: string, more: More = {}): Record<string, unknown> {
  return { id, text, of: 'shop', ...more }
}

/** Somebody who was asked in the round that runs. */
export interface Asked {
  readonly contactId: string
  /** When they were asked, and when they last got a word about it. */
  readonly firstMs: number
  lastMs: number
  /** How often they were reminded since. */
  reminders: number
  /** They said "later": not reminded before then. */
  snoozedUntilMs: number | null
}

/** One cause about which somebody is asked to answer: an alarm, or in a flood all that came at once. */
export interface Asking {
  /** Never used twice: keys of notices are made of it. */
  readonly id: string
  /** Notices about it replace each other by this. */
  readonly topic: string
  alarmIds: string[]
  readonly many: boolean
  /** Nobody is asked any more: it was answered, or can wait. Whoever was told still hears when it is over. */
  stopped: boolean
  /** All were asked once; now for the second and last time. */
  secondRound: boolean
  /** No other contact is left to be asked. */
  allAsked: boolean
  /** In the order in which they were asked, in this round. */
  asked: Asked[]
  /** Everybody who was told, with the number of notices each got. */
  told: { readonly contactId: string; notices: number }[]
  /** Of what they were told, in the words of the last notice. */
  what: string
  /** When it began, and when the asking began. */
  readonly fromMs: number
  readonly sinceMs: number
  /** The mains of the shop was out in it; when it came back while something else of it was not over, or null. */
  mainsOut: boolean
  mainsBackMs: number | null
  mainsBackDone: boolean
}

/** What the morning report tells of. */
export interface NightAlarm {
  readonly alarmId: string
  title: string
  readonly fromMs: number
  overMs: number | null
  /** Was anybody told of it at once? */
  told: boolean
  withdrawn: boolean
}

/** A reply of a contact reached the shop, by the ways that stood in the settings then. */
export interface Proof {
  readonly provenMs: number
  readonly ways: string
}

export interface TellingState {
  nextAsking: number
  readonly askings: Map<string, Asking>
  /** Alarms that cannot wait and that nobody has answered. */
  readonly calling: Set<string>
  readonly proofs: Map<string, Proof>
  readonly night: Map<string, NightAlarm>
  /** When the shop last closed for the night, and when it last opened after one. */
  closedMs: number | null
  openedMs: number | null
  /** Next opening or closing that has not been dealt with, of the hours that hold. */
  changeMs: number | null
  /** When people are reminded of the closing list. */
  closingReminderMs: number | null
  /** When the next word is due; null: nothing waits. */
  dueMs: number | null
}

export function initialTelling(): TellingState {
  return {
    nextAsking: 1,
    askings: new Map(),
    calling: new Set(),
    proofs: new Map(),
    night: new Map(),
    closedMs: null,
    openedMs: null,
    changeMs: null,
    closingReminderMs: null,
    dueMs: null,
  }
}

export interface TellingJson extends Omit<TellingState, 'askings' | 'calling' | 'proofs' | 'night'> {
  readonly askings: [string, Asking][]
  readonly calling: string[]
  readonly proofs: [string, Proof][]
  readonly night: [string, NightAlarm][]
}

export function tellingToJson(state: TellingState): TellingJson {
  return {
    ...state,
    askings: [...state.askings],
    calling: [...state.calling],
    proofs: [...state.proofs],
    night: [...state.night],
  }
}

export function tellingFromJson(json: TellingJson): TellingState {
  return {
    ...json,
    askings: new Map(json.askings),
    calling: new Set(json.calling),
    proofs: new Map(json.proofs),
    night: new Map(json.night),
  }
}

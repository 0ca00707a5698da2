/** What this browser can do with notices. */
export interface NoticeMeans {
  /** Was the page opened over https, or on the computer itself? */
  readonly isSecure: boolean
  readonly hasWorker: boolean
  readonly hasPush: boolean
  /** Some phones give notices to apps on the home screen alone; null where that does not matter. */
  readonly isOnHomeScreen: boolean | null
  readonly permission: 'default' | 'granted' | 'denied'
  readonly isSubscribed: boolean
}

export const ABILITIES = ['notSecure', 'needsHomeScreen', 'notSupported', 'denied', 'ready', 'on'] as const
export type NoticeAbility = (typeof ABILITIES)[number]

/** ABLE-1 the first thing that stands in the way, in the order in which a person can mend it. */
export function noticeAbility(means: NoticeMeans): NoticeAbility {
  if (!means.isSecure) return 'notSecure'
  if (means.isOnHomeScreen === false) return 'needsHomeScreen'
  if (!means.hasWorker || !means.hasPush) return 'notSupported'
  if (means.permission === 'denied') return 'denied'
  return means.permission === 'granted' && means.isSubscribed ? 'on' : 'ready'
}

/** ABLE-2 said plainly, with what to do. */
export const ABILITY_WORDS: Readonly<
  Record<NoticeAbility, { readonly title: string; readonly todo: string }>
> = {
  notSecure: {
    title: 'Notices cannot come here from this address',
    todo: 'Browsers take notices only from an address that begins with https. An owner can give Nightcap one, or let you be told by mail or webhook under Setup, Who is told.',
  },
  needsHomeScreen: {
    title: 'Put Nightcap on the home screen first',
    todo: "On this phone notices come to apps alone. Open the browser's share menu, choose Add to Home Screen, open Nightcap from there, and come back to this page.",
  },
  notSupported: {
    title: 'This browser cannot take notices',
    todo: 'Open Nightcap in another browser on this device, or be told by mail or webhook under Setup, Who is told.',
  },
  denied: {
    title: 'Notices from Nightcap are blocked on this device',
    todo: 'Press the sign left of the address, or open the settings of the device for this browser or app, allow notifications for Nightcap, then load this page again.',
  },
  ready: {
    title: 'Notices do not come to this device yet',
    todo: 'Allow them, and the device asks once more by itself.',
  },
  on: {
    title: 'Notices come to this device',
    todo: 'They come when Nightcap is closed, too. Keep the sound of notifications on at night, or nobody wakes.',
  },
}

/** Where notices go: an address at a push service, and the keys that only this device can open them with. */
export interface DeviceAddress {
  readonly endpoint: string
  readonly keys: { readonly p256dh: string; readonly auth: string }
}

/** What the models ask of the device. */
export interface Device {
  readonly means: () => Promise<NoticeMeans>
  /** Asks the person, then the push service. A text is why it did not come to be. */
  readonly subscribe: (publicKey: string) => Promise<DeviceAddress | string>
  readonly unsubscribe: () => Promise<void>
  /** The name under which the shop knows this device, once it does. */
  readonly knownAs: { readonly read: () => string | null; readonly write: (id: string | null) => void }
  /** What such a device is called until it is given a name. */
  readonly usualName: string
}

import type { Device } from './notice-ability.ts'

const ID_KEY = 'nightcap-device'

export function createDevice(): Device {
  const subscription = async (): Promise<PushSubscription | null> => {
    const registration = await navigator.serviceWorker.getRegistration('/')
    return (await registration?.pushManager.getSubscription()) ?? null
  }
  const canPush = 'serviceWorker' in navigator && 'PushManager' in window && 'Notification' in window
  return {
    means: async () => ({
      isSecure: window.isSecureContext,
      hasWorker: 'serviceWorker' in navigator,
      hasPush: canPush,
      isOnHomeScreen:
        'standalone' in navigator
          ? navigator.standalone === true || matchMedia('(display-mode: standalone)').matches
          : null,
      permission: 'Notification' in window ? Notification.permission : 'default',
      isSubscribed: canPush && (await subscription()) !== null,
    }),
    subscribe: async (publicKey) => {
      if ((await Notification.requestPermission()) !== 'granted')
        return 'Notices were not allowed on this device.'
      try {
        const { pushManager } = await navigator.serviceWorker.ready
        const made = await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: publicKey })
        const { endpoint, keys } = made.toJSON()
        return {
          endpoint: endpoint ?? '',
          keys: { p256dh: keys?.['p256dh'] ?? '', auth: keys?.['auth'] ?? '' },
        }
      } catch {
        return 'The push service of this browser could not be reached. Check that the device is on the internet, then try again.'
      }
    },
    unsubscribe: async () => void (await (await subscription())?.unsubscribe()),
    knownAs: {
      read: () => localStorage.getItem(ID_KEY),
      write: (id) => (id === null ? localStorage.removeItem(ID_KEY) : localStorage.setItem(ID_KEY, id)),
    },
    usualName: matchMedia('(pointer: coarse)').matches ? 'phone' : 'computer',
  }
}

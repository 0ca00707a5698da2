import { signal, type ReadonlySignal } from '@preact/signals'
import { failureSentence, type Answer } from '../api/answer.ts'
import type { KnownDevice, TellingApi } from '../api/telling-api.ts'
import { noticeAbility, type Device, type NoticeAbility } from '../phone/notice-ability.ts'

export interface PhoneModel {
  /** null until this device was asked. */
  readonly ability: ReadonlySignal<NoticeAbility | null>
  /** The devices of this person that take notices. */
  readonly devices: ReadonlySignal<readonly KnownDevice[]>
  /** Which of them is this one; null when the shop does not know it. */
  readonly thisId: ReadonlySignal<string | null>
  readonly usualName: string
  readonly trouble: ReadonlySignal<string>
  readonly announcement: ReadonlySignal<string>
  readonly busy: ReadonlySignal<boolean>
  readonly load: () => Promise<void>
  readonly allow: (title: string) => Promise<void>
  readonly stop: (id: string) => Promise<void>
  readonly test: (contactId: string) => Promise<void>
  readonly forget: () => void
}

type PhoneApi = Pick<TellingApi, 'devices' | 'addDevice' | 'removeDevice' | 'pushKey' | 'testContact'>

export function createPhoneModel(api: PhoneApi, device: Device): PhoneModel {
  const ability = signal<NoticeAbility | null>(null)
  const devices = signal<readonly KnownDevice[]>([])
  const thisId = signal<string | null>(null)
  const trouble = signal('')
  const announcement = signal('')
  const busy = signal(false)

  const fail = (answer: Answer<unknown>): boolean => {
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    return !answer.ok
  }
  const load = async (): Promise<void> => {
    const answer = await api.devices()
    if (!fail(answer) && answer.ok) devices.value = answer.value.devices
    const id = device.knownAs.read()
    const isKnown = devices.value.some((d) => d.id === id)
    thisId.value = isKnown ? id : null
    const means = await device.means()
    // A subscription that the shop does not know brings nothing: it counts as none.
    ability.value = noticeAbility({ ...means, isSubscribed: means.isSubscribed && isKnown })
  }
  const allowHere = async (title: string): Promise<void> => {
    const key = await api.pushKey()
    if (fail(key) || !key.ok) return
    const address = await device.subscribe(key.value.key)
    if (typeof address === 'string') {
      trouble.value = address
      return
    }
    const added = await api.addDevice({ title, subscription: address })
    if (fail(added) || !added.ok) return
    device.knownAs.write(added.value.id)
    announcement.value = 'Notices come to this device from now on.'
  }
  const working = async (work: () => Promise<void>): Promise<void> => {
    busy.value = true
    trouble.value = announcement.value = ''
    await work()
    busy.value = false
  }
  return {
    ability,
    devices,
    thisId,
    usualName: device.usualName,
    trouble,
    announcement,
    busy,
    load,
    allow: (title) =>
      working(async () => {
        await allowHere(title)
        const told = trouble.value
        await load()
        if (told) trouble.value = told
      }),
    stop: (id) =>
      working(async () => {
        if (fail(await api.removeDevice(id))) return
        if (id === thisId.value) {
          await device.unsubscribe()
          device.knownAs.write(null)
        }
        await load()
        announcement.value = 'No more notices go there.'
      }),
    test: (contactId) =>
      working(async () => {
        if (fail(await api.testContact(contactId))) return
        announcement.value = 'A test is on its way. It should be here within a minute.'
      }),
    forget: () => {
      ability.value = thisId.value = null
      devices.value = []
      trouble.value = announcement.value = ''
    },
  }
}

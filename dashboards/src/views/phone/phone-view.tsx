import { useEffect, useState } from 'preact/hooks'
import type { KnownDevice } from '../../api/telling-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { ABILITY_WORDS } from '../../phone/notice-ability.ts'
import { nearTime } from '../../words/shop-time.ts'
import { Field } from '../field.tsx'
import { Announcement, Trouble, Waiting } from '../states.tsx'

/** Whether notices come to this device, what stands in the way, and how to change it. */
export function PhoneView({ app }: { app: AppModel }) {
  const { ability, trouble, announcement } = app.phone
  useEffect(() => {
    void app.phone.load()
  }, [])
  if (ability.value === null) return trouble.value ? <Trouble text={trouble.value} /> : <Waiting />
  const { title, todo } = ABILITY_WORDS[ability.value]
  return (
    <div class="setup">
      <h1 class="statement">{`${title}.`}</h1>
      <p class="evidence">{todo}</p>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {ability.value === 'ready' && <Allow app={app} />}
      {ability.value === 'on' && <IsOn app={app} />}
      <Devices app={app} />
      <section aria-labelledby="offline-title">
        <h2 id="offline-title">Without a line</h2>
        <p>
          {navigator.serviceWorker?.controller
            ? 'This device keeps the last known state of the shop and shows it with its age. What you log without a line waits here, is sent when the shop can be reached while Nightcap is open, and counts from when it arrives. Signing out clears it.'
            : 'This device keeps nothing of the shop: for that Nightcap must be opened from an address that begins with https. What you log without a line still waits here until the shop can be reached.'}
        </p>
      </section>
    </div>
  )
}

function Allow({ app }: { app: AppModel }) {
  const session = app.session.session.value
  const owner = session?.signedIn ? session.person.name : ''
  const [name, setName] = useState(`${owner}, ${app.phone.usualName}`)
  return (
    <form
      class="allow"
      onSubmit={(event) => {
        event.preventDefault()
        void app.phone.allow(name.trim())
      }}
    >
      <Field label="What this device is called" id="device-name">
        <input
          id="device-name"
          required
          maxLength={80}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm" disabled={app.phone.busy.value}>
          Allow notices here
        </button>
      </p>
    </form>
  )
}

/** Notices go to contacts: a device brings something once its person is one of them. */
function IsOn({ app }: { app: AppModel }) {
  const session = app.session.session.value
  const settings = app.settings.saved.value
  const personId = session?.signedIn ? session.person.id : ''
  const contact = settings?.contacts.find((c) => c.personId === personId)
  const id = app.phone.thisId.value
  return (
    <>
      {settings && !contact && (
        <p class="fault">
          Nobody under Setup, Who is told is you yet, so nothing will come. An owner can put you there.
        </p>
      )}
      {!settings && <p class="hint">They come once an owner has put you under Setup, Who is told.</p>}
      <p class="buttons">
        {contact && app.session.may('manageTelling') && (
          <button
            type="button"
            class="do do-calm"
            disabled={app.phone.busy.value}
            onClick={() => void app.phone.test(contact.id)}
          >
            Send me a test
          </button>
        )}
        {id !== null && (
          <button type="button" class="plain" onClick={() => void app.phone.stop(id)}>
            Stop notices here
          </button>
        )}
      </p>
    </>
  )
}

function Devices({ app }: { app: AppModel }) {
  const others = app.phone.devices.value.filter((d) => d.id !== app.phone.thisId.value)
  if (others.length === 0) return null
  return (
    <section aria-labelledby="devices-title">
      <h2 id="devices-title">Your other devices</h2>
      <ul class="list">
        {others.map((device) => (
          <Other key={device.id} app={app} device={device} />
        ))}
      </ul>
    </section>
  )
}

function Other({ app, device }: { app: AppModel; device: KnownDevice }) {
  const zone = {
    timeZone: app.board.board.value?.site.timeZone ?? 'UTC',
    nowMs: app.clock.quarterMinuteMs.value,
  }
  const reached =
    device.lastOkMs === null
      ? 'No notice has reached it yet.'
      : `Last reached ${nearTime(device.lastOkMs, zone)}.`
  return (
    <li>
      <p class="list-title">{device.title}</p>
      <p class="evidence">{reached}</p>
      <button type="button" class="plain" onClick={() => void app.phone.stop(device.id)}>
        Stop notices there<span class="only-read">{`: ${device.title}`}</span>
      </button>
    </li>
  )
}

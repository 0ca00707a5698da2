import { useEffect, useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf, type Invitation } from '../../models/route.ts'
import { Field } from '../field.tsx'
import { Trouble } from '../states.tsx'

const SHORTEST_PASSWORD = 10

/** The door: name and password, the first owner's page, or a link that signs in by itself. */
export function SignInView({ app }: { app: AppModel }) {
  const invitation = app.invitation.value
  const session = app.session.session.value
  const trouble = app.session.trouble.value
  useEffect(() => {
    if (invitation?.kind !== 'signIn') return
    app.invite(null)
    void app.session.accept(invitation, { name: '', password: '' })
  }, [invitation])
  const isFirst = invitation?.kind === 'firstOwner'
  const isNew = !isFirst && session !== null && !session.signedIn && session.firstOwnerNeeded
  return (
    <div class="door">
      <p class="door-name">Nightcap</p>
      <h1>{isFirst ? 'You are the first here' : isNew ? 'This shop has no owner yet' : 'Sign in'}</h1>
      {isFirst && <p>Choose a name and a password. You become the owner of this shop.</p>}
      {trouble && <Trouble text={trouble} />}
      {isNew ? (
        <p>
          Open the link that the monitor printed when it started. It holds a code that works once, for 15
          minutes. Start the monitor again to get a new one.
        </p>
      ) : (
        <SignInForm app={app} isFirst={isFirst} />
      )}
    </div>
  )
}

function SignInForm({ app, isFirst }: { app: AppModel; isFirst: boolean }) {
  const [name, setName] = useState('')
  const [password, setPassword] = useState('')
  const busy = app.session.busy.value
  const enter = async (invitation: Invitation): Promise<void> => {
    await app.session.accept(invitation, { name, password })
    // Whoever is the first here has a shop to set up.
    if (isFirst && app.session.session.peek()?.signedIn)
      location.hash = hashOf({ page: 'setup', part: 'walk' })
  }
  const send = (): void => {
    const invitation = app.invitation.peek()
    if (invitation) void enter(invitation)
    else void app.session.signIn(name, password)
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        send()
      }}
    >
      <Field label="Name" id="name">
        <input
          id="name"
          autocomplete="username"
          required
          maxLength={80}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </Field>
      <Field
        label="Password"
        id="password"
        hint={isFirst ? `At least ${SHORTEST_PASSWORD} characters; length is what counts.` : ''}
      >
        <input
          id="password"
          type="password"
          autocomplete={isFirst ? 'new-password' : 'current-password'}
          aria-describedby={isFirst ? 'password-hint' : undefined}
          required
          minLength={isFirst ? SHORTEST_PASSWORD : 1}
          maxLength={200}
          value={password}
          onInput={(event) => setPassword(event.currentTarget.value)}
        />
      </Field>
      <p class="buttons">
        <button type="submit" class="do do-calm" disabled={busy}>
          {isFirst ? 'Become the owner' : 'Sign in'}
        </button>
      </p>
    </form>
  )
}

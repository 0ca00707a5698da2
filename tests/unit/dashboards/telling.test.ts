import { describe, expect, it } from 'vitest'
import { withMail, withoutMail } from '../../../dashboards/src/models/settings-edits.ts'
import { createSessionModel } from '../../../dashboards/src/models/session-model.ts'
import { toFailure } from '../../../dashboards/src/api/answer.ts'
import { deliveryLine, needsSomebody } from '../../../dashboards/src/words/delivery-words.ts'
import type { DeliveryAttempt } from '../../../services/core/model/ports/notice-store.ts'
import { parseSettings } from '../../../services/codecs/settings-check.ts'
import { testSettings } from '../../parts/shop-settings.ts'

const T0 = Date.UTC(2026, 10, 26, 21, 10)
const NOW = {
  timeZone: 'UTC',
  nowMs: T0 + 60_000,
  titleOf: (id: string) => (id === 'mira' ? 'Mira' : undefined),
}
const attempt = (change: Partial<DeliveryAttempt> = {}): DeliveryAttempt => ({
  atMs: T0,
  noticeKey: 'n',
  contactId: 'mira',
  channel: 'push',
  target: 'Mira, phone at push.example.org',
  outcome: 'taken',
  reason: '',
  ...change,
})

describe('what was sent, in words', () => {
  it('LOG-1 when, to whom, by which way and where to; taken is not called read', () => {
    expect(deliveryLine(attempt(), NOW)).toEqual({
      what: '21:10, Mira, as a notice to Mira, phone at push.example.org',
      cameOfIt: 'The push service took it.',
    })
    expect(deliveryLine(attempt({ channel: 'mail', target: 'm…@example.org' }), NOW)).toMatchObject({
      what: '21:10, Mira, by mail to m…@example.org',
      cameOfIt: 'The mail server took it.',
    })
  })

  it('LOG-2 what failed says why, and whether it is tried again', () => {
    const of = (change: Partial<DeliveryAttempt>) => deliveryLine(attempt(change), NOW)
    expect(of({ outcome: 'later', reason: 'no answer within 10 s' })).toMatchObject({
      cameOfIt: 'Not taken, and tried again by itself: no answer within 10 s.',
    })
    expect(of({ outcome: 'dead', reason: 'it answered 404' })).toMatchObject({
      cameOfIt: 'Not taken, and not tried again: it answered 404.',
    })
    expect(of({ outcome: 'late', reason: '', target: '', contactId: 'ben' })).toEqual({
      what: '21:10, ben, who is no longer told, as a notice',
      cameOfIt: 'Given up.',
    })
  })
})

describe('what calls for a person in the log', () => {
  it('LOG-3 what was lost does, until something reached the same contact by the same way', () => {
    const lost = attempt({ outcome: 'dead' })
    expect(needsSomebody([lost], 0)).toBe(true)
    expect(needsSomebody([attempt({ outcome: 'late' })], 0)).toBe(true)
    expect(needsSomebody([attempt(), lost], 1)).toBe(false)
    expect(needsSomebody([attempt({ channel: 'mail' }), attempt({ contactId: 'ben' }), lost], 2)).toBe(true)
    expect(needsSomebody([lost, attempt()], 0)).toBe(true)
    expect([needsSomebody([attempt({ outcome: 'later' })], 0), needsSomebody([], 0)]).toEqual([false, false])
  })
})

describe('the mail server in the settings', () => {
  it('MAIL-1 begins with the usual port, and is taken by the monitor once it is filled in', () => {
    const empty = withMail(testSettings(), {})
    expect(empty.mail).toEqual({ host: '', port: 587, security: 'startTls', from: '' })
    const filled = withMail(empty, { host: 'mail.example.org', from: 'night@example.org', user: 'night' })
    expect(parseSettings(filled)).toMatchObject({ ok: true })
    expect(parseSettings(empty)).toMatchObject({ ok: false })
  })

  it('MAIL-2 an emptied user name is left out, and so is the whole when no mail is to be sent', () => {
    const filled = withMail(testSettings(), { user: 'night' })
    expect(withMail(filled, { user: ' ' }).mail).not.toHaveProperty('user')
    expect(filled.mail).toHaveProperty('user', 'night')
    expect(withoutMail(filled)).not.toHaveProperty('mail')
    expect(filled).toHaveProperty('mail')
  })
})

describe('a sign-in link that was used', () => {
  it('LINK-4 opened where somebody is signed in, it says so, and they stay', async () => {
    const person = { id: 'person-1', name: 'Mira', role: 'owner' } as const
    const refused = {
      ok: false,
      failure: toFailure(401, { title: 'Not signed in', detail: 'the link was used; ask for a new one' }),
    } as const
    const session = createSessionModel({
      session: async () => ({ ok: true, value: { signedIn: true, person, permissions: [] } }),
      signIn: async () => refused,
      signInByLink: async () => refused,
      createFirstOwner: async () => refused,
      signOut: async () => refused,
    })
    await session.load()
    await session.accept({ kind: 'signIn', code: 'x' }, { name: '', password: '' })
    expect(session.trouble.value).toBe(
      'Not signed in. The link was used; ask for a new one. On this device Mira is signed in, as before.',
    )
    expect(session.session.value?.signedIn).toBe(true)
    session.readTrouble()
    expect(session.trouble.value).toBe('')
  })
})

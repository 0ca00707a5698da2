import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { CODE_LIFE_MS } from '../../services/web/auth/sign-in-codes.ts'
import { createPasswords } from '../../services/web/auth/passwords.ts'
import { SESSION_IDLE_MS, SESSION_LIFE_MS } from '../../services/web/auth/session.ts'
import { openWebShop, ORIGIN, PASSWORD, problemOf, type WebShop } from '../parts/web-shop.ts'

let shop: WebShop
beforeEach(async () => {
  shop = await openWebShop()
})
afterEach(() => shop.close())

const post = (url: string, payload: object, more: { remoteAddress?: string; cookie?: string } = {}) =>
  shop.app.inject({
    method: 'POST',
    url: `/api/v1${url}`,
    payload,
    headers: { origin: ORIGIN, ...(more.cookie ? { cookie: more.cookie } : {}) },
    ...(more.remoteAddress ? { remoteAddress: more.remoteAddress } : {}),
  })
const signIn = (name: string, password: string, remoteAddress?: string) =>
  post('/session', { name, password }, remoteAddress ? { remoteAddress } : {})
const becomeOwner = (code: string, name = 'Ada') =>
  post('/session/first-owner', { code, name, password: PASSWORD })
const read = (cookie: string, url = '/session') =>
  shop.app.inject({ url: `/api/v1${url}`, headers: { cookie } })
const cookieOf = (response: Awaited<ReturnType<typeof post>>): string => {
  const cookie = response.cookies.find((c) => c.name === 'nightcap_session')
  return `nightcap_session=${cookie?.value ?? ''}`
}

describe('the first owner', () => {
  it('OWNER-1 the printed code makes an owner, signed in', async () => {
    expect((await read('')).json()).toEqual({ signedIn: false, firstOwnerNeeded: true })
    const made = await becomeOwner(shop.codes.issueFirstOwnerCode().code)
    expect(made.statusCode).toBe(201)
    expect(made.json()).toMatchObject({ signedIn: true, person: { name: 'Ada', role: 'owner' } })
    expect((await read(cookieOf(made), '/people')).json()).toMatchObject({ people: [{ name: 'Ada' }] })
    expect((await read('')).json()).toEqual({ signedIn: false, firstOwnerNeeded: false })
  })

  it('OWNER-2 a code is typed as people type: small letters, spaces, O for 0, L for 1', async () => {
    const { code } = shop.codes.issueFirstOwnerCode()
    expect(code).toMatch(/^([0-9A-HJKMNP-TV-Z]{4}-){3}[0-9A-HJKMNP-TV-Z]{4}$/)
    const typed = code.toLowerCase().replaceAll('-', ' ').replaceAll('0', 'o').replaceAll('1', 'l')
    expect((await becomeOwner(typed)).statusCode).toBe(201)
  })

  it('OWNER-3 a code works for 15 minutes and no longer', async () => {
    const { code } = shop.codes.issueFirstOwnerCode()
    shop.wait(CODE_LIFE_MS)
    expect((await becomeOwner(code)).statusCode).toBe(401)
    const fresh = shop.codes.issueFirstOwnerCode().code
    shop.wait(CODE_LIFE_MS - 1)
    expect((await becomeOwner(fresh)).statusCode).toBe(201)
  })

  it('OWNER-4 a newer code ends the one before', async () => {
    const { code } = shop.codes.issueFirstOwnerCode()
    shop.codes.issueFirstOwnerCode()
    expect((await becomeOwner(code)).statusCode).toBe(401)
  })

  it('OWNER-5 once there is an owner nobody becomes one by code', async () => {
    await becomeOwner(shop.codes.issueFirstOwnerCode().code)
    const second = await becomeOwner(shop.codes.issueFirstOwnerCode().code, 'Ben')
    expect(second.statusCode).toBe(409)
    expect(problemOf(second).detail).toContain('sign in, or ask the owner')
  })

  it('OWNER-6 one code sent many times at once makes one owner', async () => {
    const { code } = shop.codes.issueFirstOwnerCode()
    const all = await Promise.all(['Ada', 'Ben', 'Cleo', 'Dov'].map((name) => becomeOwner(code, name)))
    expect(all.map((r) => r.statusCode).filter((s) => s === 201)).toHaveLength(1)
    expect(shop.accounts.people()).toHaveLength(1)
  })

  it('OWNER-7 a wrong try does not use the code up, and a short password names the cure', async () => {
    const { code } = shop.codes.issueFirstOwnerCode()
    expect((await becomeOwner('AAAA-AAAA-AAAA-AAAA')).statusCode).toBe(401)
    const short = await post('/session/first-owner', { code, name: 'Ada', password: 'short' })
    expect(problemOf(short)).toMatchObject({
      status: 422,
      errors: [{ pointer: '/password', detail: 'give a password of at least 10 characters' }],
    })
    expect((await becomeOwner(code)).statusCode).toBe(201)
  })
})

describe('signing in', () => {
  beforeEach(() => becomeOwner(shop.codes.issueFirstOwnerCode().code))

  it('SIGN-1 name in any case and the right password open a session; the cookie is out of reach of scripts', async () => {
    const response = await signIn(' ada ', PASSWORD)
    expect(response.statusCode).toBe(200)
    const header = String(response.headers['set-cookie'])
    expect(header).toMatch(/^nightcap_session=[\w-]{43}; /)
    for (const part of ['HttpOnly', 'SameSite=Strict', 'Path=/', 'Max-Age=2592000'])
      expect(header).toContain(part)
    expect(header).not.toContain('Secure')
  })

  it('SIGN-2 a wrong password and an unknown name get the same answer', async () => {
    const wrong = await signIn('Ada', 'not the password')
    const unknown = await signIn('Nobody', 'not the password')
    expect([wrong.statusCode, wrong.body]).toEqual([401, unknown.body])
    expect(unknown.statusCode).toBe(401)
  })

  it('SIGN-3 after five wrong tries this address waits for this name, longer each time; others do not', async () => {
    const stranger = '192.0.2.7'
    for (let i = 0; i < 5; i++) expect((await signIn('Ada', 'wrong wrong', stranger)).statusCode).toBe(401)
    const told = await signIn('Ada', PASSWORD, stranger)
    expect([told.statusCode, told.headers['retry-after']]).toEqual([429, '1'])
    expect((await signIn('Ada', PASSWORD)).statusCode).toBe(200)
    shop.wait(1000)
    expect((await signIn('Ada', 'wrong wrong', stranger)).statusCode).toBe(401)
    expect((await signIn('Ada', PASSWORD, stranger)).headers['retry-after']).toBe('2')
    shop.wait(2000)
    expect((await signIn('Ada', PASSWORD, stranger)).statusCode).toBe(200)
  })

  it('SIGN-4 at the shop computer the wait never passes 30 s, whatever was tried', async () => {
    let waited = 0
    for (let i = 0; i < 15; i++) {
      const response = await signIn('Ada', 'wrong wrong')
      const seconds = Number(response.headers['retry-after'] ?? 0)
      waited = Math.max(waited, seconds)
      shop.wait(seconds * 1000)
    }
    expect(waited).toBeGreaterThan(0)
    expect(waited).toBeLessThanOrEqual(30)
    shop.wait(30_000)
    expect((await signIn('Ada', PASSWORD)).statusCode).toBe(200)
  })

  it('SIGN-5 an address has 20 tries a minute whatever names it gives', async () => {
    const statuses: number[] = []
    for (let i = 0; i < 21; i++) statuses.push((await signIn(`name ${i}`, '-', '192.0.2.8')).statusCode)
    expect(statuses.slice(0, 20).every((s) => s === 401)).toBe(true)
    expect(statuses[20]).toBe(429)
    const told = await signIn('Ada', PASSWORD, '192.0.2.8')
    expect(told.headers['content-type']).toContain('application/problem+json')
    expect(Number(told.headers['retry-after'])).toBeGreaterThan(0)
  })

  it('SIGN-6 a sign-in link works once, for its person', async () => {
    const [ada] = shop.accounts.people()
    const { code, path } = shop.codes.issueSignInLink(ada?.id ?? '')
    expect(path).toBe(`/#sign-in=${code}`)
    expect((await post('/session/link', { code })).json()).toMatchObject({ person: { name: 'Ada' } })
    expect((await post('/session/link', { code })).statusCode).toBe(401)
    const owner = shop.codes.issueFirstOwnerCode().code
    expect((await post('/session/link', { code: owner })).statusCode).toBe(401)
  })

  it('SIGN-7 signing in again ends the session the browser came with', async () => {
    const first = cookieOf(await signIn('Ada', PASSWORD))
    const second = cookieOf(await post('/session', { name: 'Ada', password: PASSWORD }, { cookie: first }))
    expect((await read(first, '/board')).statusCode).toBe(401)
    expect((await read(second, '/board')).statusCode).toBe(200)
  })
})

describe('sessions', () => {
  let cookie = ''
  beforeEach(async () => {
    cookie = cookieOf(await becomeOwner(shop.codes.issueFirstOwnerCode().code))
  })

  it('SESSION-1 a week without a request ends a session', async () => {
    shop.wait(SESSION_IDLE_MS - 1)
    expect((await read(cookie, '/board')).statusCode).toBe(200)
    shop.wait(SESSION_IDLE_MS)
    expect((await read(cookie, '/board')).statusCode).toBe(401)
  })

  it('SESSION-2 thirty days end a session however much it is used', async () => {
    const day = 24 * 3_600_000
    for (let d = 1; d * day < SESSION_LIFE_MS; d++) {
      shop.wait(day)
      expect((await read(cookie, '/board')).statusCode).toBe(200)
    }
    shop.wait(day)
    expect((await read(cookie, '/board')).statusCode).toBe(401)
  })

  it('SESSION-3 signing out ends this session; signing out everywhere ends all', async () => {
    const sessions = await Promise.all([1, 2, 3].map(async () => cookieOf(await signIn('Ada', PASSWORD))))
    const drop = (url: string, from = '') =>
      shop.app.inject({ method: 'DELETE', url: `/api/v1${url}`, headers: { origin: ORIGIN, cookie: from } })
    expect((await drop('/session', sessions[0])).statusCode).toBe(204)
    const statuses = async () => Promise.all(sessions.map(async (s) => (await read(s, '/board')).statusCode))
    expect(await statuses()).toEqual([401, 200, 200])
    expect((await drop('/sessions', sessions[1])).statusCode).toBe(204)
    expect(await statuses()).toEqual([401, 401, 401])
    expect((await read(cookie, '/board')).statusCode).toBe(401)
  })

  it('SESSION-4 the store holds the SHA-256 of a token, never the token', () => {
    const token = cookie.split('=')[1] ?? ''
    expect(token).toMatch(/^[\w-]{43}$/)
    expect(shop.accounts.session(token)).toBeNull()
  })

  it('SESSION-5 a removed person is out at once', async () => {
    const { id } = (await shop.send('owner', { url: '/api/v1/people' }))
      .json<{ people: { id: string; name: string }[] }>()
      .people.find((p) => p.name === 'Ada') ?? { id: '' }
    expect((await shop.send('owner', { method: 'DELETE', url: `/api/v1/people/${id}` })).statusCode).toBe(204)
    expect((await read(cookie, '/board')).statusCode).toBe(401)
    expect((await signIn('Ada', PASSWORD)).statusCode).toBe(401)
  })
})

describe('passwords', () => {
  it('PASSWORD-1 are kept as argon2id with a salt of their own', async () => {
    const passwords = createPasswords()
    const [one, two] = await Promise.all([passwords.hash(PASSWORD), passwords.hash(PASSWORD)])
    expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/)
    expect(one).not.toBe(two)
    expect(await passwords.verify(one, PASSWORD)).toBe(true)
    expect(await passwords.verify(null, 'nobody has this password')).toBe(false)
  })

  it('PASSWORD-2 letters that keyboards send in two forms are the same password', async () => {
    const passwords = createPasswords()
    expect(await passwords.verify(await passwords.hash('cafe\u0301 at night'), 'caf\u00e9 at night')).toBe(
      true,
    )
  })

  it('PASSWORD-3 beyond two at work and twenty in line the next is told to come back', async () => {
    const passwords = createPasswords()
    const all = await Promise.allSettled(Array.from({ length: 23 }, () => passwords.hash('x')))
    const refused = all.filter((r) => r.status === 'rejected')
    expect(refused.map((r) => (r.reason as { code: string }).code)).toEqual(['PASSWORDS_BUSY'])
  })
})

import { create } from 'qrcode'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { waitFor } from '../parts/wait-for.ts'

let shop: BoardBrowser
beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

const PUBLIC_URL = 'https://shop.example.org'

/** The modules as they stand on the screen: the drawing is painted on a canvas and one point of each is read. */
const MODULES_ON_SCREEN = `(async () => {
  const drawn = document.querySelector('.scan-code').cloneNode(true)
  const size = drawn.viewBox.baseVal.width
  for (const [name, fill] of [['.scan-paper', '#fff'], ['.scan-ink', '#000']]) drawn.querySelector(name).setAttribute('fill', fill)
  drawn.setAttribute('xmlns', 'http://www.w3.org/2000/svg')
  drawn.setAttribute('width', size * 8)
  drawn.setAttribute('height', size * 8)
  const image = new Image()
  image.src = 'data:image/svg+xml;base64,' + btoa(drawn.outerHTML)
  await image.decode()
  const canvas = document.createElement('canvas')
  canvas.width = canvas.height = size * 8
  const pen = canvas.getContext('2d')
  pen.drawImage(image, 0, 0)
  const dark = []
  for (let y = 4; y < size - 4; y++) for (let x = 4; x < size - 4; x++)
    dark.push(pen.getImageData(x * 8 + 4, y * 8 + 4, 1, 1).data[0] < 128 ? 1 : 0)
  return dark
})()`

describe('people', () => {
  it('SCAN-1 the code on the screen is the link, signs its person in once, and goes when it was used', async () => {
    const board = await shop.open({ prepare: ({ state }) => void (state.people.publicUrl = PUBLIC_URL) })
    const { page, server } = board
    await board.goTo('#/setup/people')
    await page.getByRole('button', { name: 'Show code for a phone for Ben' }).click()
    await page.getByText(/^It works once, for Ben alone\. It works for 14 min \d+ s more\.$/).waitFor()
    const [code] = server.state.people.codes.keys()
    const wanted = create(`${PUBLIC_URL}/#sign-in=${code}`, { errorCorrectionLevel: 'M' }).modules
    // The public address comes a moment after the code.
    await waitFor('the code of the public address', async () => {
      const seen = await page.evaluate<number[]>(MODULES_ON_SCREEN)
      return seen.join('') === [...wanted.data].map(Number).join('') ? true : null
    })
    const phone = await page.context().newPage()
    await phone.goto(`${server.url}/#sign-in=${code}`)
    await phone.waitForSelector('.machine')
    expect(phone.url()).not.toContain('sign-in')
    await page.getByText('The code was used: Ben is signed in there.').waitFor()
    expect(await page.locator('.scan').count()).toBe(0)
    server.state.signedIn = false
    await phone.goto('about:blank')
    await phone.goto(`${server.url}/#sign-in=${code}`)
    await phone.getByText(/^Not signed in\./).waitFor()
    await board.close()
  }, 60_000)

  it('SCAN-2 an address of this computer alone shows no code, and says what to do', async () => {
    const board = await shop.open({ hash: '#/setup/people' })
    const { page } = board
    await page.getByRole('button', { name: 'Show code for a phone for Ben' }).click()
    await page.getByText(/leads to this computer alone/).waitFor()
    expect(await page.locator('.scan-code').count()).toBe(0)
    await page.getByRole('button', { name: 'Put it away' }).click()
    expect(await page.locator('.scan').count()).toBe(0)
    await board.close()
  }, 60_000)

  it('PEOPLE-2 a person is added, gets another role, and is removed after being asked', async () => {
    const board = await shop.open({ hash: '#/setup/people', width: 360, height: 740 })
    const { page, server } = board
    await page.getByLabel('Add a person, by name').fill('Ada')
    await page.getByRole('button', { name: 'Add the person' }).click()
    await page.getByText('Ada is added.').waitFor()
    await page.getByLabel('Role of Ada').selectOption('technician')
    await page.getByText('Ada is now technician.').waitFor()
    expect(server.state.people.people.at(-1)).toMatchObject({ name: 'Ada', role: 'technician' })
    await page.getByRole('button', { name: 'Remove Ada' }).click()
    await page.getByRole('button', { name: 'Remove Ada' }).click()
    await page.getByText('Ada can no longer come in.').waitFor()
    expect(server.state.people.people.map((p) => p.name)).toEqual(['Mira', 'Ben'])
    await board.close()
  }, 60_000)
})

describe('who is told', () => {
  it('TOLD-1 the order is changed and waiting times are kept in ms', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page, server } = board
    await page.getByRole('button', { name: /^Ask later.*Mira$/ }).click()
    await page.getByLabel('Ask the next person after, in min').fill('7')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.contacts.map((c) => c.id)).toEqual(['ben', 'mira'])
    expect(server.state.settings.telling.escalateAfterMs).toBe(7 * 60_000)
    await board.close()
  }, 60_000)

  it('TOLD-2 somebody is added with a person and a mail address; an emptied field is left out', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page, server } = board
    await page.getByLabel('Add somebody who is told').fill('Ada')
    await page.getByRole('button', { name: 'Add them' }).click()
    const ada = page.locator('.thing').last()
    await ada.getByLabel('Signs in as').selectOption({ label: 'Ben' })
    await ada.getByLabel('When').selectOption({ label: 'While the shop is closed' })
    await page.locator('.thing').first().getByLabel('Mail').fill('')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    const { contacts } = server.state.settings
    expect(contacts.at(-1)).toMatchObject({
      id: 'ada',
      personId: 'person-2',
      times: 'closedHours',
      push: true,
    })
    expect(contacts[0]).not.toHaveProperty('mail')
    await board.close()
  }, 60_000)

  it('TOLD-3 a test is sent, what stands in the way is said, and a secret is shown once', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page, server } = board
    await page.getByText('NIGHTCAP_PUBLIC_URL is not set: replies cannot reach the shop').waitFor()
    await page.getByText(/An answer came back 20:1\d\./).waitFor()
    await page.getByRole('button', { name: 'Send a test to Mira' }).click()
    await page.getByText('A test is on its way to Mira.').waitFor()
    expect(server.state.people.tests).toEqual(['mira'])
    await page.getByRole('button', { name: /Make a webhook secret for Ben/ }).click()
    await page.getByText('an-invented-secret-of-no-use').waitFor()
    await page.getByRole('button', { name: /put it away/ }).click()
    expect(await page.getByText('an-invented-secret-of-no-use').count()).toBe(0)
    await board.close()
  }, 60_000)

  it('TOLD-4 a wrong mail address is told at its field', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page } = board
    await page.locator('.thing').first().getByLabel('Mail').fill('mira at home')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.locator('#settings-contacts-0-mail-fault', { hasText: 'write a mail address' }).waitFor()
    await board.close()
  }, 60_000)
})

describe('how mail leaves, and what was sent', () => {
  it('TOLD-5 a mail server is set by the keyboard; faults stand at their fields; its password is never shown', async () => {
    const board = await shop.open({ hash: '#/setup/told', width: 360, height: 740 })
    const { page, server } = board
    await page.getByRole('button', { name: 'Set a mail server' }).focus()
    await page.keyboard.press('Enter')
    await page.getByLabel('Server', { exact: true }).focus()
    await page.keyboard.type('mail.example.org')
    await page.getByLabel('Encryption').selectOption({ label: 'None: a mail server on this computer alone' })
    await page.getByLabel('Mail comes from').fill('the shop')
    await page.keyboard.press('Enter')
    await page.locator('#settings-mail-from-fault', { hasText: 'write a mail address' }).waitFor()
    await page.getByLabel('Mail comes from').fill('shop@example.org')
    await page.keyboard.press('Enter')
    await page.locator('#settings-mail-security-fault', { hasText: 'choose tls or startTls' }).waitFor()
    await page.getByLabel('Encryption').selectOption('startTls')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Not set. It is kept sealed and never shown again.').waitFor()
    expect(server.state.settings.mail).toEqual({
      host: 'mail.example.org',
      port: 587,
      security: 'startTls',
      from: 'shop@example.org',
    })
    await page.getByLabel('Password', { exact: true }).fill('not for any eye')
    await page.keyboard.press('Enter')
    await page.getByText(/^Set\. It is kept sealed and never shown/).waitFor()
    expect(server.state.people.mailPassword).toBe('not for any eye')
    expect(await page.getByLabel('New password').inputValue()).toBe('')
    await board.close()
  }, 60_000)

  it('TOLD-6 webhooks within the network are off until somebody has read what that risks', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page, server } = board
    const box = page.getByLabel("A webhook may go to an address within the shop's own network")
    expect(await box.isChecked()).toBe(false)
    expect(await box.getAttribute('aria-describedby')).toBe('allow-private-webhooks-hint')
    await box.focus()
    await page.keyboard.press('Space')
    await page.getByRole('button', { name: 'Save the changes' }).click()
    await page.getByText('Saved.').waitFor()
    expect(server.state.settings.telling.allowPrivateWebhooks).toBe(true)
    await board.close()
  }, 60_000)

  it('TOLD-7 every try stands in words, newest first; without any it says so', async () => {
    const board = await shop.open({ hash: '#/setup/told' })
    const { page, server } = board
    await page.getByText('22:07, Mira, as a notice to Mira, phone at push.example.org').waitFor()
    expect(await page.locator('.deliveries li').count()).toBe(3)
    server.state.people.deliveries = []
    await page.getByRole('button', { name: 'Look again' }).focus()
    await page.keyboard.press('Enter')
    await page.getByText('Nothing was sent yet. Send a test').waitFor()
    await board.close()
  }, 60_000)
})

describe('a page that was open for long', () => {
  it('LAZY-1 a page of another release offers to load again, and does; a dead line offers to try again', async () => {
    const board = await shop.open()
    const { page, server } = board
    // Without the worker, which keeps the files of its own release.
    await page.addInitScript('ServiceWorkerContainer.prototype.register = () => new Promise(() => undefined)')
    await page.evaluate('navigator.serviceWorker.ready.then((r) => r.unregister())')
    await page.reload()
    await page.waitForSelector('.machine')
    await page.route(/assets\/alarms-view/, (route) => route.fulfill({ status: 404, body: '' }))
    await page.evaluate("location.hash = '#/alarms'")
    await page.getByText('Nightcap was renewed while it was open here.').waitFor()
    await page.unroute(/assets\/alarms-view/)
    await page.getByRole('button', { name: 'Reload' }).click()
    await page.waitForSelector('.measures')
    server.turnOff(true)
    await page.evaluate("location.hash = '#/logbook'")
    await page.getByText('This page did not come. Check the network').waitFor()
    await board.close()
  }, 60_000)

  it('LINK-4 a used link on a device where somebody is signed in says so, and they stay', async () => {
    const board = await shop.open()
    const { page } = board
    await page.evaluate("location.hash = '#sign-in=used'")
    await page.getByText(/On this device Mira is signed in, as before\.$/).waitFor()
    await page.getByRole('button', { name: 'I have read it' }).click()
    expect(await page.getByText(/as before\.$/).count()).toBe(0)
    expect(await page.locator('.machine').count()).toBeGreaterThan(0)
    await board.close()
  }, 60_000)
})

describe('this phone', () => {
  it('ABLE-3 says that notices do not come yet, and that they are blocked once they are', async () => {
    const board = await shop.open({ hash: '#/phone', width: 360, height: 740 })
    const { page } = board
    await page.getByRole('heading', { name: 'Notices do not come to this device yet.' }).waitFor()
    expect(await page.getByLabel('What this device is called').inputValue()).toMatch(/^Mira, /)
    const cdp = await page.context().newCDPSession(page)
    const { targetInfo } = await cdp.send('Target.getTargetInfo')
    await cdp.send('Browser.setPermission', {
      permission: { name: 'notifications' },
      setting: 'denied',
      origin: board.server.url,
      ...(targetInfo.browserContextId ? { browserContextId: targetInfo.browserContextId } : {}),
    })
    await page.reload()
    await page.getByRole('heading', { name: 'Notices from Nightcap are blocked on this device.' }).waitFor()
    await page.getByText(/allow notifications for Nightcap, then load this page again/).waitFor()
    await board.close()
  }, 60_000)
})

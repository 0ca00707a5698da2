import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { openBoardBrowser, type BoardBrowser, type OpenBoard } from '../parts/board-browser.ts'
import { hasProgram, requireProgram } from '../parts/host.ts'
import { SHOP_NOW_MS } from '../parts/invented-shop.ts'
import { openPushPage, type PushPage } from '../parts/push-page.ts'
import { waitFor } from '../parts/wait-for.ts'

let shop: BoardBrowser
beforeAll(async () => {
  if (hasProgram('chromium')) shop = await openBoardBrowser()
}, 120_000)
afterAll(async () => {
  if (hasProgram('chromium')) await shop.close()
})
beforeEach((context) => requireProgram(context, 'chromium'))

const IS_CONTROLLED = 'navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)'
const CACHES = 'caches.keys()'
const KEPT_PATHS =
  "caches.open('nightcap-answers').then((c) => c.keys()).then((all) => all.map((r) => new URL(r.url).pathname).sort())"

/** Opens the board and waits until the worker answers for it. */
async function openKept(hash = '#/'): Promise<OpenBoard> {
  const board = await shop.open({ hash, width: 360, height: 740 })
  await waitFor('the worker', async () => ((await board.page.evaluate<boolean>(IS_CONTROLLED)) ? true : null))
  await board.page.reload()
  await board.page.waitForSelector('h1')
  await waitFor('what is kept', async () => {
    const kept = await board.page.evaluate<string[]>(KEPT_PATHS)
    return ['board', 'session', 'tasks'].every((n) => kept.includes(`/api/v1/${n}`)) ? true : null
  })
  return board
}

describe('the app on a phone', () => {
  it('APP-1 the manifest and the worker make it installable, as the browser itself judges', async () => {
    const board = await openKept()
    const cdp = await board.page.context().newCDPSession(board.page)
    const { errors, data } = await cdp.send('Page.getAppManifest')
    expect(errors).toEqual([])
    const manifest = JSON.parse(data ?? '{}') as { icons: { src: string; sizes: string; purpose: string }[] }
    expect(manifest).toMatchObject({ name: 'Nightcap', display: 'standalone', scope: '/', start_url: '/' })
    expect(manifest.icons.map((i) => i.purpose)).toContain('maskable')
    for (const { src, sizes } of manifest.icons.filter((i) => i.sizes !== 'any')) {
      const size = await board.page.evaluate<string>(
        `fetch('${src}').then((r) => r.blob()).then(createImageBitmap).then((b) => b.width + 'x' + b.height)`,
      )
      expect({ src, size }).toEqual({ src, size: sizes })
    }
    const { installabilityErrors } = await cdp.send('Page.getInstallabilityErrors')
    // A window of tests keeps nothing ("incognito"); nothing else is missing.
    expect(installabilityErrors.map((e) => e.errorId).filter((id) => id !== 'in-incognito')).toEqual([])
    expect(board.complaints).toEqual([])
    await board.close()
  }, 60_000)

  it('APP-2 without a line it opens with the last known state, says its age, and mends by itself', async () => {
    const board = await openKept()
    const { page, server } = board
    server.turnOff(true)
    await page.reload()
    await page.waitForSelector('.machine')
    await page.getByText(/^Last heard 22:1\d, less than a minute ago\. This is how it was then/).waitFor()
    expect(await page.locator('h1').textContent()).toMatch(/^At 22:1\d: /)
    await board.goTo('#/tasks')
    expect(await page.locator('.tasks .task').count()).toBe(4)
    server.turnOff(false)
    await page.locator('.lost').waitFor({ state: 'detached', timeout: 40_000 })
    await board.goTo('#/')
    expect(await page.locator('h1').textContent()).not.toMatch(/^At /)
    await board.close()
  }, 90_000)

  it('APP-3 the age is told in words, and grows', async () => {
    const board = await openKept()
    const { page, server } = board
    server.turnOff(true)
    // As if it had been heard three hours ago.
    await page.evaluate(`caches.open('nightcap-answers').then(async (cache) => {
      for (const request of await cache.keys()) {
        const kept = await cache.match(request)
        const heard = Number(kept.headers.get('x-nightcap-heard')) - 3 * 3600_000
        await cache.put(request, new Response(await kept.arrayBuffer(), { headers: { 'x-nightcap-heard': String(heard) } }))
      }
    })`)
    await page.reload()
    await page.getByText(/^Last heard 22:1\d, 3 h ago\./).waitFor()
    await board.close()
  }, 60_000)

  it('APP-4 no secret is kept, and signing out clears what was', async () => {
    const board = await openKept('#/sensors')
    const { page } = board
    await board.goTo('#/setup')
    const kept = await page.evaluate<string[]>(KEPT_PATHS)
    expect([...new Set(kept)]).toEqual(['/api/v1/board', '/api/v1/session', '/api/v1/tasks'])
    await page.getByRole('button', { name: 'Sign out' }).click()
    await page.waitForSelector('.door')
    expect(await page.evaluate<string[]>(CACHES)).not.toContain('nightcap-answers')
    await board.close()
  }, 60_000)

  it('APP-5 a board of another build is dropped when its worker takes over', async () => {
    const board = await shop.open()
    const { page } = board
    // A worker that still has its page would be taken back as it is: so it goes first, with nobody looking.
    const home = page.url()
    await page.evaluate('navigator.serviceWorker.ready.then((r) => r.unregister())')
    await page.goto(new URL('/icon.svg', home).href)
    await page.evaluate("caches.open('nightcap-shell-of-old').then((c) => c.put('/', new Response('old')))")
    expect(await page.evaluate<string[]>(CACHES)).toContain('nightcap-shell-of-old')
    await page.goto(home)
    await waitFor('the old one to go', async () => {
      const names = await page.evaluate<string[]>(CACHES)
      return names.includes('nightcap-shell-of-old') ? null : true
    })
    expect((await page.evaluate<string[]>(CACHES)).some((n) => /^nightcap-shell-[0-9a-f]{16}$/.test(n))).toBe(
      true,
    )
    await board.close()
  }, 60_000)
})

describe('what is said without a line', () => {
  it('QUEUE-7 an entry waits, survives a reload, and is sent exactly once when the line is back', async () => {
    const board = await openKept()
    const { page, server } = board
    server.turnOff(true)
    const row = page.locator('.machine').first()
    await row.getByRole('button', { name: /Say what you did/ }).click()
    await row.getByRole('button', { name: 'I cleaned the heads' }).click()
    await page.getByText('Waiting to be sent: 1').waitFor()
    await row.getByText(/^Not sent yet\. It is kept on this device/).waitFor()
    await page.reload()
    await page.getByText('Waiting to be sent: 1').waitFor()
    await page.locator('.unsent-list p', { hasText: 'Roll 60, left bench: the heads were cleaned' }).waitFor()
    expect(server.state.sent).toEqual([])
    server.turnOff(false)
    await page.locator('.unsent-list').waitFor({ state: 'detached', timeout: 40_000 })
    await page.reload()
    await page.waitForSelector('.machine')
    expect(server.state.sent.map((s) => s.call)).toEqual(['POST /machines/roll/care'])
    expect(server.state.sent[0]?.key).toMatch(/^[0-9a-f]{32}$/)
    await board.close()
  }, 120_000)

  it('QUEUE-8 an answer that was lost on the way back is sent again under the same key', async () => {
    const board = await openKept()
    const { page, server } = board
    server.losesAnswers(true)
    const row = page.locator('.machine').first()
    await row.getByRole('button', { name: /Say what you did/ }).click()
    await row.getByRole('button', { name: 'I cleaned the heads' }).click()
    await page.getByText('Waiting to be sent: 1').waitFor()
    server.losesAnswers(false)
    await page.locator('.unsent-list').waitFor({ state: 'detached', timeout: 40_000 })
    expect(server.state.sent.length).toBeGreaterThan(1)
    expect(new Set(server.state.sent.map((s) => s.key)).size).toBe(1)
    await board.close()
  }, 120_000)

  it('QUEUE-9 a refusal is shown with its cure until it is read', async () => {
    const board = await openKept(`#/tasks`)
    const { page, server } = board
    const task = server.state.tasks.find((t) => t.state === 'open')
    if (!task) throw new Error('the shop has no open task')
    await board.goTo(`#/tasks/${encodeURIComponent(task.id)}`)
    await page.getByRole('button', { name: 'It is done' }).click()
    server.turnOff(true)
    await page.getByRole('button', { name: 'Sign it off' }).click()
    await page.getByText(`Kept here, and not signed off yet: ${task.title}.`).waitFor()
    task.state = 'signedOff'
    server.turnOff(false)
    await page.getByText(/^Not taken: The task is no longer open/).waitFor({ timeout: 40_000 })
    await page.reload()
    await page.getByText(/^Not taken: The task is no longer open/).waitFor()
    await page.getByRole('button', { name: /I have read it/ }).click()
    await page.locator('.unsent-list').waitFor({ state: 'detached' })
    await board.close()
  }, 120_000)

  it('QUEUE-11 ticks of the closing list wait in their order, one taken back too', async () => {
    const board = await openKept('#/closing')
    const { page, server } = board
    const cover = page.getByRole('button', { name: /^Cover shut/ })
    await cover.waitFor()
    server.cutLine(true)
    await cover.click()
    await cover.getByText('You said it is done: waiting to be sent.').waitFor()
    expect(await cover.getAttribute('aria-pressed')).toBe('false')
    await cover.click()
    await cover.getByText('You took it back: waiting to be sent.').waitFor()
    await cover.click()
    await page.getByText('Waiting to be sent: 3').waitFor()
    server.cutLine(false)
    await page.locator('.unsent-list').waitFor({ state: 'detached', timeout: 40_000 })
    await page.locator('[aria-pressed=true]', { hasText: 'Cover shut' }).waitFor()
    const ticks = server.state.calls.filter((c) => c.startsWith('POST /closing/steps/'))
    expect(ticks.length).toBe(3)
    await board.close()
  }, 120_000)

  it('QUEUE-10 signing out with something unsent asks first', async () => {
    const board = await openKept()
    const { page, server } = board
    server.cutLine(true)
    await page
      .getByRole('button', { name: /I'm on it/ })
      .first()
      .click()
    await page.getByText("I'm on it: waiting to be sent").first().waitFor()
    await page.getByRole('button', { name: 'Sign out' }).click()
    await page.getByText('Not sent yet: 1. Signing out drops it.').waitFor()
    await page.getByRole('button', { name: 'Stay' }).click()
    expect(await page.getByText('Waiting to be sent: 1').count()).toBe(1)
    await board.close()
  }, 60_000)
})

const NOTICE = {
  key: 'notice-1',
  kind: 'alarm',
  title: 'Roll 60: the head is off its cap',
  body: 'Bring it home before the ink dries.',
  page: '/tasks',
  topic: 'alarm|1',
  replyUrl: null as string | null,
  sentMs: SHOP_NOW_MS,
}

describe('notices on the device', () => {
  const openOne = async (push: PushPage, wanted: RegExp) =>
    waitFor('the notice', async () => {
      const all = await push.shown()
      const [one] = all
      return one && all.length === 1 && wanted.test(`${one.title} ${one.body}`) ? one : null
    })

  it('PUSH-2 PUSH-3 a message is shown; a newer one of its topic takes its place', async () => {
    const board = await openKept()
    const push = await openPushPage(board.page)
    await push.deliver({ ...NOTICE, replyUrl: `${board.server.url}/r/token` })
    expect(await openOne(push, /off its cap/)).toEqual({
      title: NOTICE.title,
      body: NOTICE.body,
      tag: NOTICE.topic,
      requireInteraction: true,
      actions: ["I'm on it", 'Snooze 15 min'],
    })
    await push.deliver({ ...NOTICE, key: 'notice-2', kind: 'over', title: 'It is over', replyUrl: null })
    expect(await openOne(push, /It is over/)).toMatchObject({ requireInteraction: false, actions: [] })
    await board.close()
  }, 60_000)

  it('PUSH-1 what cannot be read is still shown', async () => {
    const board = await openKept()
    const push = await openPushPage(board.page)
    await push.deliver('no json')
    await openOne(push, /Open the board/)
    await board.close()
  }, 60_000)

  it('PUSH-5 a button answers by the link, without a session, and the answer is told', async () => {
    const board = await openKept()
    const push = await openPushPage(board.page)
    board.server.state.signedIn = false
    await push.deliver({ ...NOTICE, replyUrl: `${board.server.url}/r/token-1` })
    await openOne(push, /off its cap/)
    await push.press('acknowledge')
    await openOne(push, /^Noted .*Nobody else is asked\./s)
    expect(board.server.state.replies).toEqual([{ token: 'token-1', body: { answer: 'acknowledge' } }])
    await board.close()
  }, 60_000)

  it('PUSH-6 an answer that does not arrive says so, and can be given again', async () => {
    const board = await openKept()
    const push = await openPushPage(board.page)
    await push.deliver({ ...NOTICE, replyUrl: `${board.server.url}/r/token-1` })
    await openOne(push, /off its cap/)
    board.server.turnOff(true)
    await push.press('snooze')
    const failed = await openOne(push, /did not arrive/)
    expect(failed.actions).toEqual(["I'm on it", 'Snooze 15 min'])
    board.server.turnOff(false)
    await push.press('snooze')
    await openOne(push, /Quiet for 15 minutes/)
    expect(board.server.state.replies).toEqual([
      { token: 'token-1', body: { answer: 'snooze', minutes: 15 } },
    ])
    await board.close()
  }, 60_000)
})

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium, type Browser, type Page } from 'playwright-core'
import { build } from 'vite'
import { startBoardServer, type BoardServer } from './board-server.ts'

const ARGS = [
  '--no-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

/** The board, built from its sources, and a browser to look at it with. */
export interface BoardBrowser {
  readonly boardDir: string
  /** A new invented shop and a page on it; what the browser complained about is gathered. */
  readonly open: (look?: Look) => Promise<OpenBoard>
  readonly close: () => Promise<void>
}

export interface Look {
  readonly width?: number
  readonly height?: number
  readonly scheme?: 'light' | 'dark'
  readonly prepare?: (server: BoardServer) => void
  readonly hash?: string
}

export interface OpenBoard {
  readonly page: Page
  readonly server: BoardServer
  readonly complaints: readonly string[]
  readonly goTo: (hash: string) => Promise<void>
  readonly close: () => Promise<void>
}

export async function openBoardBrowser(): Promise<BoardBrowser> {
  const boardDir = mkdtempSync(join(tmpdir(), 'nightcap-board-'))
  await build({
    configFile: 'dashboards/vite.config.ts',
    logLevel: 'error',
    build: { outDir: boardDir, emptyOutDir: true },
  })
  const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ARGS })
  return {
    boardDir,
    open: (look = {}) => openBoard(browser, boardDir, look),
    close: async () => {
      await browser.close()
      rmSync(boardDir, { recursive: true })
    },
  }
}

async function openBoard(browser: Browser, boardDir: string, look: Look): Promise<OpenBoard> {
  const { width = 1280, height = 800, scheme = 'light', prepare, hash = '#/' } = look
  const server = await startBoardServer(boardDir)
  prepare?.(server)
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme })
  const page = await context.newPage()
  const complaints: string[] = []
  page.on('console', (message) => complaints.push(message.text()))
  page.on('pageerror', (error) => complaints.push(error.message))
  await page.goto(`${server.url}/${hash}`)
  await page.waitForSelector('h1')
  return {
    page,
    server,
    complaints,
    goTo: async (next) => {
      await page.evaluate(`location.hash = ${JSON.stringify(next)}`)
      await page.waitForSelector('body:not(:has(.waiting)) h1')
    },
    close: async () => {
      await context.close()
      await server.close()
    },
  }
}

/** The board cannot listen where it should; the message names the variable and the cure. */
export class BoardListenError extends Error {
  override readonly name = 'BoardListenError'
  readonly code = 'BOARD_LISTEN'
}

const CURES: Readonly<Record<string, readonly [variable: string, cure: string]>> = {
  EADDRINUSE: ['NIGHTCAP_HTTP_PORT', 'another program has this port: stop it, or choose another port'],
  EACCES: ['NIGHTCAP_HTTP_PORT', 'this user may not use this port: choose one above 1023'],
}
const OTHERWISE = ['NIGHTCAP_HTTP_HOST', 'give an address of this computer'] as const

interface Listener {
  readonly listen: (at: { host: string; port: number }) => Promise<string>
}

/** Gives the address at which the board then is. @throws {BoardListenError} */
export async function listenForBoard(
  app: Listener,
  { host, port }: { host: string; port: number },
): Promise<string> {
  try {
    return await app.listen({ host, port })
  } catch (cause) {
    const code = cause instanceof Error && 'code' in cause ? String(cause.code) : String(cause)
    const [variable, cure] = CURES[code] ?? OTHERWISE
    throw new BoardListenError(`${variable}: the board cannot listen at ${host}:${port} (${code}): ${cure}`, {
      cause,
    })
  }
}

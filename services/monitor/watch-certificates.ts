import type { Server } from 'node:http'
import { Server as HttpsServer } from 'node:https'
import type { MonitorConfig } from './config.ts'
import { loadTls, type TlsFiles, type TlsMaterial } from './tls-files.ts'

/** A certificate that ends within this is told of (starting value: two weeks to renew it). */
export const RENEW_WITHIN_MS = 14 * 24 * 3_600_000
const LOOK_EVERY_MS = 3_600_000

interface CertificateLog {
  readonly info: (context: object, text: string) => void
  readonly warn: (context: object, text: string) => void
}

export interface CertificateWatch {
  /** Takes renewed certificates of the board into use at this server. */
  readonly follow: (server: Server) => void
  /** What a person should do about certificates, each with its cure. */
  readonly problems: (nowMs?: number) => readonly string[]
  readonly stop: () => void
}

/**
 * Watches the certificates of board and broker.
 *
 * CERT-1 the files are looked at once an hour; a renewed pair of the board holds for the next connections,
 *        one of the broker from the next start on.
 * CERT-2 a pair that cannot be used changes nothing, is logged, and is tried again: both files are seldom written at once.
 * CERT-3 two weeks before a certificate ends a person is told, and from its end on in other words.
 */
export function watchCertificates({
  config: { http, broker },
  held,
  log,
  lookEveryMs = LOOK_EVERY_MS,
}: {
  readonly config: Pick<MonitorConfig, 'http' | 'broker'>
  /** What the board was started with. */
  readonly held: TlsMaterial | null
  readonly log: CertificateLog
  readonly lookEveryMs?: number
}): CertificateWatch {
  const broking = broker.kind === 'embedded' && broker.tls ? broker.tls : null
  let boardHolds = held
  const brokerEndsMs = broking && loadTls(broking).endsMs
  let followed: Server | null = null

  const renew = (files: TlsFiles, holds: TlsMaterial): void => {
    const found = loadTls(files)
    if (found.cert.equals(holds.cert) && found.key.equals(holds.key)) return
    if (followed instanceof HttpsServer) followed.setSecureContext({ cert: found.cert, key: found.key })
    boardHolds = found
    log.info({}, `the renewed certificate in ${files.certFile} is in use`)
  }
  const timer = setInterval(() => {
    try {
      if (http.tls && boardHolds) renew(http.tls, boardHolds)
    } catch (error) {
      log.warn({}, error instanceof Error ? error.message : String(error))
    }
  }, lookEveryMs)
  timer.unref()

  return {
    follow: (server) => {
      followed = server
    },
    problems: (nowMs = Date.now()) => [
      ...(http.tls && boardHolds ? endingOf(http.tls, boardHolds.endsMs, nowMs) : []),
      ...(broking && brokerEndsMs !== null ? endingOf(broking, brokerEndsMs, nowMs) : []).map(
        (text) => `${text}, and start Nightcap again: the broker holds the one that it was started with`,
      ),
    ],
    stop: () => clearInterval(timer),
  }
}

/** What to do about a certificate that has ended or soon will; nothing while there is time. */
export function endingOf({ certFile }: TlsFiles, endsMs: number, nowMs: number): readonly string[] {
  if (endsMs - nowMs > RENEW_WITHIN_MS) return []
  const day = new Date(endsMs).toISOString().slice(0, 10)
  return endsMs <= nowMs
    ? [`the certificate in ${certFile} ended on ${day}, and is refused: put a renewed one there`]
    : [`the certificate in ${certFile} ends on ${day}: put a renewed one there before that`]
}

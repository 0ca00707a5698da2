import { createHash } from 'node:crypto'
import { createTransport } from 'nodemailer'
import { isThisComputer } from '../../core/model/mail.ts'
import type { MailTarget, OutgoingNotice, SendNotice, SendOutcome } from '../../core/model/ports/notify.ts'

export interface MailParts {
  /** For each step of the talk with the mail server. */
  readonly timeoutMs?: number
  /** Certificate authority to trust (PEM); the system's where it is left out. */
  readonly ca?: string
}

/**
 * Mail over SMTP (RFC 5321), plain text.
 *
 * MAIL-1 with `startTls` nothing is said before the connection is encrypted; without TLS only to this computer.
 * MAIL-2 Message-ID follows from the notice's key, so a second try of the same notice is the same message.
 * MAIL-3 4xx is tried again, 5xx is for good; a sign-in or TLS that fails is tried again, since somebody can put that right.
 */
export function createMailSender({ timeoutMs = 10_000, ca }: MailParts = {}): SendNotice<MailTarget> {
  return async (out, target) => {
    const { host, port, security, user, password, from, to } = target
    if (security === 'none' && !isThisComputer(host))
      return { kind: 'dead', reason: 'mail without TLS goes only to this computer: choose tls or startTls' }
    const transport = createTransport({
      host,
      port,
      secure: security === 'tls',
      requireTLS: security === 'startTls',
      ignoreTLS: security === 'none',
      ...(user === null ? {} : { auth: { user, pass: password ?? '' } }),
      ...(ca === undefined ? {} : { tls: { ca } }),
      connectionTimeout: timeoutMs,
      greetingTimeout: timeoutMs,
      socketTimeout: timeoutMs,
      disableFileAccess: true,
      disableUrlAccess: true,
    })
    try {
      await within(transport.sendMail({ from, to, ...mailOf(out, from) }), timeoutMs * 2)
      return { kind: 'taken' }
    } catch (error) {
      return judge(error)
    } finally {
      transport.close()
    }
  }
}

function mailOf(
  out: OutgoingNotice,
  from: string,
): { subject: string; text: string; messageId: string; date: Date } {
  const { notice, sentMs } = out
  return {
    subject: notice.title,
    text: mailText(out),
    messageId: messageIdOf(notice.key, from),
    date: new Date(sentMs),
  }
}

/** What a person reads. */
export function mailText({ notice, replyUrl }: OutgoingNotice): string {
  const reply =
    replyUrl !== null
      ? ['', 'To answer, open this page. Opening it changes nothing yet:', replyUrl]
      : notice.asksForReply
        ? ['', 'Replies cannot reach the shop from here. Answer on the board.']
        : []
  return [notice.body, ...reply, ''].join('\n')
}

/** RFC 5322, section 3.6.4. */
export function messageIdOf(noticeKey: string, from: string): string {
  const left = createHash('sha256').update(noticeKey).digest('hex').slice(0, 40)
  return `<${left}@${from.split('@').at(-1) ?? 'localhost'}>`
}

function judge(error: unknown): SendOutcome {
  const { code, responseCode } = error as { code?: unknown; responseCode?: unknown }
  const message = error instanceof Error ? error.message : String(error)
  if (code === 'EAUTH') {
    const reason = 'the mail server refused user or password: set the password again under Setup'
    return { kind: 'later', reason, retryAfterMs: null }
  }
  if (code === 'ETLS') {
    const reason = 'the mail server offers no TLS: choose another port or security under Setup'
    return { kind: 'later', reason, retryAfterMs: null }
  }
  return typeof responseCode === 'number' && responseCode >= 500
    ? { kind: 'dead', reason: `the mail server refused it: ${message}` }
    : { kind: 'later', reason: message, retryAfterMs: null }
}

function within<T>(work: Promise<T>, timeoutMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(
      () => reject(new Error(`the mail server did not finish within ${timeoutMs / 1000} s`)),
      timeoutMs,
    )
  })
  return Promise.race([work, late]).finally(() => clearTimeout(timer))
}

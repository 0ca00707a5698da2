import { z } from 'zod'

/** `tls` from the first byte (often port 465), `startTls` begun and required (often port 587), or none. */
export const MAIL_SECURITIES = ['tls', 'startTls', 'none'] as const

/** The mail server that takes notices. */
export const mailSchema = z
  .strictObject({
    host: z.string().trim().min(1, { error: 'name the mail server' }).max(200),
    port: z.int().min(1).max(65_535).default(587),
    security: z.enum(MAIL_SECURITIES).default('startTls'),
    user: z.string().min(1).max(200).optional(),
    from: z.email({ error: 'write a mail address, such as nightcap@example.org' }).max(200),
  })
  .refine((m) => m.security !== 'none' || isThisComputer(m.host), {
    path: ['security'],
    error: 'mail may go without TLS only to a mail server on this computer: choose tls or startTls',
  })
export type Mail = z.infer<typeof mailSchema>

/** Does this name stand for this very computer? */
export function isThisComputer(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host)
}

import helmet from '@fastify/helmet'
import type { FastifyInstance, FastifyReply } from 'fastify'

/** What browsers are told to refuse: scripts, styles and frames from anywhere but here, and all that is inline. */
export function addSecurityHeaders(
  app: FastifyInstance,
  { secureCookies }: { secureCookies: boolean },
): void {
  app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        connectSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        fontSrc: ["'self'"],
        manifestSrc: ["'self'"],
        workerSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    frameguard: { action: 'deny' },
    // no-referrer would make browsers send "Origin: null" with some changes, and the check of Origin refuse them.
    referrerPolicy: { policy: 'same-origin' },
    // Told over plain http it would be ignored; told by a proxy's https it must not reach to other names.
    strictTransportSecurity: secureCookies && { maxAge: 15_552_000, includeSubDomains: false },
  })
}

/** For what is refused before any hook runs, such as a path that cannot be decoded: nothing of it is to be run or kept. */
export function addRefusalHeaders(reply: FastifyReply): FastifyReply {
  return reply.headers({
    'content-security-policy': "default-src 'none';frame-ancestors 'none'",
    'x-content-type-options': 'nosniff',
    'cache-control': 'no-store',
  })
}

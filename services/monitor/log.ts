import { pino, type DestinationStream, type Logger } from 'pino'

export type Log = Logger

/** Structured lines on standard error, one a happening. What could be a secret is masked wherever it turns up. */
export function createLog({
  level,
  to = pino.destination({ dest: 2, sync: true }),
}: {
  level: 'error' | 'warn' | 'info' | 'debug' | 'silent'
  to?: DestinationStream
}): Log {
  return pino(
    {
      level,
      base: null,
      timestamp: pino.stdTimeFunctions.isoTime,
      formatters: { level: (label) => ({ level: label }) },
      redact: {
        paths: [
          'password',
          'secret',
          'token',
          'code',
          '*.password',
          '*.secret',
          '*.token',
          'req.headers.cookie',
          'req.headers.authorization',
        ],
        censor: '[masked]',
      },
    },
    to,
  )
}

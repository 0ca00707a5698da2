import { spawnSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'

export interface Authority {
  /** Its own certificate, PEM. */
  readonly ca: string
  readonly caFile: string
  /** A certificate for one host name, signed by it. */
  readonly certificateFor: (
    host: string,
    days?: number,
  ) => { readonly certFile: string; readonly keyFile: string }
}

/** A certificate authority made for one test in the given folder. Needs openssl. */
export function createAuthority(directory: string, name: string): Authority {
  const file = (end: string): string => join(directory, `${name}${end}`)
  const key = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes']
  const days = ['-days', '2']
  openssl([
    'req',
    '-x509',
    ...key,
    '-keyout',
    file('.key'),
    '-out',
    file('.pem'),
    '-subj',
    `/CN=${name}`,
    ...days,
  ])
  return {
    ca: readFileSync(file('.pem'), 'utf8'),
    caFile: file('.pem'),
    certificateFor: (host, lastsDays = 2) => {
      const [certFile, keyFile, request, extension] = ['crt', 'key', 'csr', 'ext'].map((e) =>
        file(`-${host}.${e}`),
      ) as [string, string, string, string]
      writeFileSync(extension, `subjectAltName=DNS:${host}\n`)
      openssl(['req', ...key, '-keyout', keyFile, '-out', request, '-subj', `/CN=${host}`])
      const signed = ['-CA', file('.pem'), '-CAkey', file('.key'), '-CAcreateserial', '-extfile', extension]
      openssl(['x509', '-req', '-in', request, ...signed, '-out', certFile, '-days', String(lastsDays)])
      return { certFile, keyFile }
    },
  }
}

function openssl(args: readonly string[]): void {
  const { status, stderr } = spawnSync('openssl', args)
  if (status !== 0) throw new Error(`openssl ${args[0] ?? ''} ended with ${status}: ${stderr.toString()}`)
}

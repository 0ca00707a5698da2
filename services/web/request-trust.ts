import { isIPv4 } from 'node:net'

/**
 * May this Host header be answered? A page that makes its own name resolve to this computer (DNS rebinding) comes
 * with that name, so only loopback names and those that the owner configured are known. An entry without a port
 * stands for every port.
 */
export function isAllowedHost(host: string | undefined, allowedHosts: readonly string[]): boolean {
  const name = hostnameOf(host)
  if (host === undefined || name === null) return false
  return isLoopbackName(name) || allowedHosts.some((entry) => matches(entry, host.toLowerCase(), name))
}

/**
 * May this origin change something? It must be the very place the request was sent to, port and all, since other
 * ports of this computer belong to other programs; or one that the owner configured, for a proxy that rewrites Host.
 */
export function isAllowedOrigin(
  origin: string,
  host: string | undefined,
  allowedHosts: readonly string[],
): boolean {
  if (!URL.canParse(origin)) return false
  const url = new URL(origin)
  if (url.protocol !== 'http:' && url.protocol !== 'https:') return false
  if (host !== undefined && url.host === withoutDefaultPort(host, url.protocol)) return true
  return allowedHosts.some((entry) => entry.toLowerCase() === url.host)
}

function matches(entry: string, host: string, name: string): boolean {
  const wanted = entry.toLowerCase()
  return wanted === host || wanted === name
}

function isLoopbackName(name: string): boolean {
  return name === 'localhost' || name === '[::1]' || (isIPv4(name) && name.startsWith('127.'))
}

/** Host without its port, in small letters; null when it is no host at all. */
function hostnameOf(host: string | undefined): string | null {
  if (host === undefined || /[\s/\\@?#]/.test(host) || !URL.canParse(`http://${host}`)) return null
  return new URL(`http://${host}`).hostname
}

function withoutDefaultPort(host: string, protocol: string): string {
  return URL.canParse(`${protocol}//${host}`) ? new URL(`${protocol}//${host}`).host : host
}

/** Is it this computer alone that such an address reaches? */
export function isLoopbackUrl(url: URL): boolean {
  const host = url.hostname.replace(/^\[(.*)\]$/, '$1').toLowerCase()
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host)
}

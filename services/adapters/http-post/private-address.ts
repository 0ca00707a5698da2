import { BlockList, isIP } from 'node:net'

/** Networks that a message to the outside has no business in (RFC 6890 and the registries it began). */
const REFUSED: readonly (readonly [string, number, 'ipv4' | 'ipv6'])[] = [
  ['0.0.0.0', 8, 'ipv4'],
  ['10.0.0.0', 8, 'ipv4'],
  ['100.64.0.0', 10, 'ipv4'],
  ['127.0.0.0', 8, 'ipv4'],
  ['169.254.0.0', 16, 'ipv4'],
  ['172.16.0.0', 12, 'ipv4'],
  ['192.0.0.0', 24, 'ipv4'],
  ['192.168.0.0', 16, 'ipv4'],
  ['198.18.0.0', 15, 'ipv4'],
  ['224.0.0.0', 3, 'ipv4'],
  // Forms that carry an IPv4 address within: what they would be taken for depends on the place.
  ['::', 96, 'ipv6'],
  ['::ffff:0:0:0', 96, 'ipv6'],
  ['64:ff9b::', 32, 'ipv6'],
  ['2001::', 32, 'ipv6'],
  ['2002::', 16, 'ipv6'],
  ['fc00::', 7, 'ipv6'],
  ['fe80::', 10, 'ipv6'],
  ['fec0::', 10, 'ipv6'],
  ['ff00::', 8, 'ipv6'],
]

const refused = new BlockList()
for (const [network, prefix, family] of REFUSED) refused.addSubnet(network, prefix, family)

/** Is this address private, loopback, link-local or otherwise none of the open internet? IPv4 within IPv6 counts as itself. */
export function isPrivateAddress(address: string): boolean {
  const version = isIP(address)
  return version === 0 || refused.check(address, version === 6 ? 'ipv6' : 'ipv4')
}

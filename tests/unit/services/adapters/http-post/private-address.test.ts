import { expect, it } from 'vitest'
import { isPrivateAddress } from '../../../../../services/adapters/http-post/private-address.ts'

it.each([
  '0.0.0.0',
  '127.0.0.1',
  '10.1.2.3',
  '192.168.0.1',
  '169.254.169.254',
  '::',
  '::1',
  'fe80::1',
  'fd00::1',
  '::ffff:127.0.0.1',
  '::ffff:7f00:1',
  '::127.0.0.1',
  '::a00:1',
  '::ffff:0:10.0.0.1',
  '64:ff9b::10.0.0.1',
  '64:ff9b:1::a00:1',
  '2002:a00:1::',
  '2001::a00:1',
  'no address',
])('%s is none of the open internet, in whatever form an IPv4 address stands in it', (address) =>
  expect(isPrivateAddress(address)).toBe(true),
)

it.each(['8.8.8.8', '2606:4700::1', '2001:4860::1', '::ffff:8.8.8.8'])('%s is', (address) =>
  expect(isPrivateAddress(address)).toBe(false),
)

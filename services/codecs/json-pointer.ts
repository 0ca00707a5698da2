/**
 * The value that a JSON Pointer (RFC 6901) names in a JSON document, or undefined when there is none.
 * The empty pointer is the whole document. An index has no leading zero (section 4), and `-`, the place after the
 * last, names nothing that could be read.
 *
 * @example valueAtPointer({ air: [{ rh: 41 }] }, '/air/0/rh') // 41
 * @throws {RangeError} if the pointer is neither empty nor begins with `/`.
 */
export function valueAtPointer(document: unknown, pointer: string): unknown {
  if (pointer === '') return document
  if (!pointer.startsWith('/')) {
    throw new RangeError(`a JSON Pointer is empty or begins with /, got ${JSON.stringify(pointer)}`)
  }
  let value = document
  for (const token of pointer.slice(1).split('/')) {
    value = child(value, token.replaceAll('~1', '/').replaceAll('~0', '~'))
    if (value === undefined) return undefined
  }
  return value
}

/** Own members only: `/constructor` and `/__proto__` name nothing that the document does not hold itself. */
function child(parent: unknown, token: string): unknown {
  if (Array.isArray(parent))
    return /^(0|[1-9]\d*)$/.test(token) ? (parent as unknown[])[Number(token)] : undefined
  if (typeof parent !== 'object' || parent === null) return undefined
  return Object.hasOwn(parent, token) ? (parent as Record<string, unknown>)[token] : undefined
}

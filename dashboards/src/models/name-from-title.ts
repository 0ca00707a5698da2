import type { TOPIC_WORDS } from '../../../services/core/model/name.ts'

/** The words no name may be; the compiler sees to it that they are the model's. */
const FIXED_WORDS: typeof TOPIC_WORDS = ['nightcap', 'v1', 'node', 'machine', 'readings', 'status', 'state']

/**
 * An id for a thing that a person gave a title: lower case, letters and digits joined by `-`, at most 40 characters,
 * none of `taken` and no fixed word. `fallback` is used when the title has no letter that an id may hold.
 *
 * @example nameFromTitle('Roll 60, left bench', { taken: [], fallback: 'machine' }) // 'roll-60-left-bench'
 */
export function nameFromTitle(
  title: string,
  { taken, fallback }: { taken: readonly string[]; fallback: string },
): string {
  const plain = title
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
  const base =
    plain
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 40)
      .replace(/-+$/, '') || fallback
  const isFree = (name: string): boolean =>
    !taken.includes(name) && !(FIXED_WORDS as readonly string[]).includes(name)
  if (isFree(base)) return base
  for (let n = 2; ; n++) if (isFree(`${base}-${n}`)) return `${base}-${n}`
}

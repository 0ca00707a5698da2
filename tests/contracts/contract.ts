/** One rule of a port, and a check that throws when an implementation breaks it. */
export interface ContractCase<T> {
  readonly rule: string
  readonly name: string
  readonly check: (subject: T) => void
}

/** Does a check of the rule throw? Every check has a fresh subject. */
export function breaksRule<T>(
  contract: readonly ContractCase<T>[],
  rule: string,
  makeSubject: () => T,
): boolean {
  return contract
    .filter((c) => c.rule === rule)
    .some(({ check }) => {
      try {
        check(makeSubject())
        return false
      } catch {
        return true
      }
    })
}

/** An implementation with one fault, and the rule that must catch it. */
export interface Broken<T> {
  readonly rule: string
  readonly fault: string
  readonly breakIt: (sound: T) => T
}

/** The rules that the text of a port numbers, such as `BR-1`. */
export function rulesIn(text: string, prefix: string): readonly string[] {
  const found = text.matchAll(new RegExp(`\\b${prefix}-\\d+`, 'g'))
  return [...new Set([...found].map(([rule]) => rule))].sort()
}

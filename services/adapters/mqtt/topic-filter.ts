/**
 * Does a topic match a filter? MQTT 3.1.1 section 4.7: `+` stands for one level, `#` for its parent and all below,
 * and a filter that begins with either never matches a topic that begins with `$`.
 *
 * @example matchesTopicFilter('sport/+/player1', 'sport/tennis/player1') // true
 */
export function matchesTopicFilter(filter: string, topic: string): boolean {
  const wanted = filter.split('/')
  const levels = topic.split('/')
  if (topic.startsWith('$') && (wanted[0] === '#' || wanted[0] === '+')) return false
  for (const [i, level] of wanted.entries()) {
    if (level === '#') return true
    if (i >= levels.length || (level !== '+' && level !== levels[i])) return false
  }
  return wanted.length === levels.length
}

/** Does `wide` match every topic that `narrow` matches? For filters that begin with a fixed word, as foreign ones do. */
export function coversTopicFilter(wide: string, narrow: string): boolean {
  const wideLevels = wide.split('/')
  const narrowLevels = narrow.split('/')
  for (const [i, level] of wideLevels.entries()) {
    if (level === '#') return true
    const other = narrowLevels[i]
    if (other === undefined || other === '#' || (level !== '+' && level !== other)) return false
  }
  return wideLevels.length === narrowLevels.length
}

/** Each filter once, less those that another covers: a broker would deliver their messages twice. In the order given. */
export function withoutCoveredFilters(filters: Iterable<string>): readonly string[] {
  const distinct = [...new Set(filters)]
  return distinct.filter((f) => !distinct.some((other) => other !== f && coversTopicFilter(other, f)))
}

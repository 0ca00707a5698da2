import type { Effect } from '../model/effect.ts'
import type { Episode } from '../model/episode.ts'

type EpisodeEffect = Extract<Effect, { type: `episode${string}` }>

/**
 * What a rebuild changed, as effects on the record.
 *
 * DIFF-1 an episode that came out the same changes nothing.
 * DIFF-2 a rebuilt episode that overlaps one on record of the same condition corrects it; what people were told
 *        of the old one now speaks of the new.
 * DIFF-3 an episode on record that nothing rebuilt overlaps is withdrawn.
 * DIFF-4 a rebuilt episode that overlaps none on record is opened, and closed when it is over.
 *
 * Both lists hold one subject's episodes, oldest first. `atMs` dates a withdrawal.
 */
export function diffEpisodes(
  onRecord: readonly Episode[],
  rebuilt: readonly Episode[],
  atMs: number,
): readonly EpisodeEffect[] {
  const effects: EpisodeEffect[] = []
  const unmatched = [...onRecord]
  for (const episode of rebuilt) {
    const at = matchOf(unmatched, episode)
    const old = at < 0 ? undefined : unmatched.splice(at, 1)[0]
    if (old) effects.push(...correctionOf(old, episode))
    else effects.push(...openingOf(episode))
  }
  for (const old of unmatched) effects.push({ type: 'episodeWithdrawn', episodeId: old.id, atMs })
  return effects
}

function matchOf(unmatched: readonly Episode[], episode: Episode): number {
  const same = unmatched.findIndex((old) => old.id === episode.id)
  return same >= 0 ? same : unmatched.findIndex((old) => overlaps(old, episode))
}

function overlaps(a: Episode, b: Episode): boolean {
  return a.condition === b.condition && a.fromMs <= (b.toMs ?? Infinity) && b.fromMs <= (a.toMs ?? Infinity)
}

function correctionOf(old: Episode, episode: Episode): readonly EpisodeEffect[] {
  if (JSON.stringify(old) === JSON.stringify(episode)) return []
  // A plain ending is no correction of what was said: it is the ending.
  const onlyEnded =
    old.id === episode.id &&
    old.closedMs === null &&
    episode.closedMs !== null &&
    old.openedMs === episode.openedMs
  return onlyEnded
    ? [{ type: 'episodeClosed', episode }]
    : [{ type: 'episodeCorrected', previousId: old.id, episode }]
}

function openingOf(episode: Episode): readonly EpisodeEffect[] {
  if (episode.closedMs === null) return [{ type: 'episodeOpened', episode }]
  const opened = { ...episode, toMs: null, closedMs: null }
  return [
    { type: 'episodeOpened', episode: opened },
    { type: 'episodeClosed', episode },
  ]
}

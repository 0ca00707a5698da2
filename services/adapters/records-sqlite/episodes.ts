import type { Database } from 'better-sqlite3'
import type { Episode } from '../../core/model/episode.ts'

export interface EpisodeTable {
  readonly put: (episode: Episode) => void
  /** A corrected episode has another id when it began at another time; the one it replaces goes. */
  readonly correct: (previousId: string, episode: Episode) => void
  /** Kept on record, shown to nobody. */
  readonly withdraw: (episodeId: string) => void
}

export function createEpisodeTable(db: Database): EpisodeTable {
  const upsert = db.prepare<[string, string, number, number | null, number | null, string]>(
    `INSERT INTO episode (id, subject_key, from_ms, to_ms, closed_ms, json) VALUES (?, ?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET subject_key = excluded.subject_key, from_ms = excluded.from_ms,
       to_ms = excluded.to_ms, closed_ms = excluded.closed_ms, json = excluded.json, withdrawn = 0`,
  )
  const drop = db.prepare<[string]>('DELETE FROM episode WHERE id = ?')
  const withdraw = db.prepare<[string]>('UPDATE episode SET withdrawn = 1 WHERE id = ?')
  const put = (e: Episode): void =>
    void upsert.run(e.id, e.judgedUnder, e.fromMs, e.toMs, e.closedMs, JSON.stringify(e))
  return {
    put,
    correct: (previousId, episode) => {
      if (previousId !== episode.id) drop.run(previousId)
      put(episode)
    },
    withdraw: (episodeId) => void withdraw.run(episodeId),
  }
}

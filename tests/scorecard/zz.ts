import { SHOP_SETS, SCORED_DAYS } from './shop-sets.ts'
import { drawStory, liveShop } from './live-shop.ts'
import { scoreShop } from './score-shop.ts'
const want = process.argv[2]!
for (const n of process.argv.slice(3).map(Number)) {
  const ranges = SHOP_SETS.tuning
  const story = drawStory(n, ranges, SCORED_DAYS)
  const lived = liveShop(story)
  const score = scoreShop(lived)
  for (const c of score.conditions.filter((c) => c.condition === want)) {
    for (const [kind, list] of [
      ['FALSE', c.falseAlarms],
      ['MISS', c.misses],
    ] as const)
      for (const f of list) {
        const e = lived.episodes.find(
          (e) => e.condition === want && e.fromMs <= f.atMs + 1 && (e.toMs ?? Infinity) >= f.atMs,
        )
        console.log(
          n,
          kind,
          f.subject,
          new Date(f.atMs).toISOString(),
          Math.round(f.lastedMs / 60000),
          'value',
          e?.value,
          'worst',
          e?.worst,
        )
        for (const i of story.incidents)
          if (i.fromMs < f.atMs + 3600e3 && i.toMs > f.atMs - 12 * 3600e3)
            console.log(
              '     ',
              i.kind,
              i.subjectId,
              new Date(i.fromMs).toISOString(),
              new Date(i.toMs).toISOString(),
              i.value ?? '',
            )
      }
  }
}

import type { MorningView } from '../../services/core/model/morning.ts'
import type { BoardView } from '../../services/core/model/views.ts'

const HOUR_MS = 3_600_000

/** A night of the invented shop with a little of everything that a report may tell. */
export function inventedMorning({ nowMs, site, machines }: BoardView): MorningView {
  const fromMs = nowMs - 28 * HOUR_MS - 10 * 60_000
  return {
    nowMs,
    timeZone: site.timeZone,
    night: { date: '2026-11-25', fromMs, toMs: fromMs + 14.5 * HOUR_MS },
    earlier: ['2026-11-25', '2026-11-24', '2026-11-23'],
    sentence: 'Two things happened in the night.',
    lines: [
      {
        atMs: fromMs + HOUR_MS,
        text: 'Back room: air too dry, from 20:10. Over at 23:30 by itself, after 3 h 20 min.',
      },
      {
        atMs: fromMs + 2 * HOUR_MS,
        text: 'Roll 60, left bench: power lost while printing, from 21:10. It was not over when the night ended.',
      },
      { atMs: fromMs + 2 * HOUR_MS + 60_000, text: 'Mira was told at 21:11.' },
      {
        atMs: fromMs + 2 * HOUR_MS + 240_000,
        text: 'Mira answered at 21:14 (Roll 60, left bench: power lost while printing).',
      },
    ],
    unknown: [
      { atMs: fromMs + 5 * HOUR_MS, text: 'Corner node: silent, from 00:10. Over at 00:40, after 30 min.' },
    ],
    measured: [
      'Back room: humidity was lowest at 22:20, 36 %RH, and was under 40 %RH for 3 h 10 min.',
      'Roll 60, left bench: of the drying limit Colour used at most 42 % and White 71 %. 3 cleanings were seen.',
    ],
    tasks: [
      { id: 'task|offItsCap|machine:roll', title: 'Bring the head of Roll 60, left bench back onto its cap' },
    ],
    unseen: [{ id: 'airDry|room:back-room', title: 'Back room: air too dry' }],
    machines: machines.map(({ id, title, inks }) => ({
      id,
      title,
      groups: inks.map((i) => ({ id: i.channelGroupId, title: i.title })),
    })),
  }
}

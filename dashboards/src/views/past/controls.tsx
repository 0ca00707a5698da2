import type { AppModel } from '../../models/app-model.ts'
import { panned, PRESETS, STEP, zoomed, type PastWindow, type Preset } from '../../past/window.ts'

const PRESET_WORDS: Readonly<Record<Preset, string>> = {
  night: 'Last night',
  day: 'Day',
  week: 'Week',
  month: 'Month',
  year: 'Year',
  all: 'All',
}

/** All that gestures can do, as buttons. */
export function Controls({ app }: { app: AppModel }) {
  const { past } = app
  const change = (to: (window: PastWindow, reach: { nowMs: number }) => PastWindow): void =>
    past.move(to(past.window.peek(), { nowMs: past.nowMs() }))
  const zoom = (factor: number): void =>
    change((window, reach) => {
      const aroundMs = past.cursorMs.peek() ?? (window.fromMs + window.toMs) / 2
      return zoomed(window, { factor, aroundMs }, reach)
    })
  const pan = (share: number): void =>
    change((window, reach) => panned(window, share * (window.toMs - window.fromMs), reach))
  return (
    <div class="past-controls">
      <p class="past-buttons" role="group" aria-label="How much is shown">
        {PRESETS.map((preset) => (
          <button key={preset} type="button" class="past-button" onClick={() => past.take(preset)}>
            {PRESET_WORDS[preset]}
          </button>
        ))}
      </p>
      <p class="past-buttons" role="group" aria-label="Nearer, out, earlier, later">
        <button type="button" class="past-button" onClick={() => pan(-0.5)}>
          Earlier
        </button>
        <button type="button" class="past-button" onClick={() => pan(0.5)}>
          Later
        </button>
        <button type="button" class="past-button" onClick={() => zoom(STEP * STEP)}>
          Nearer
        </button>
        <button type="button" class="past-button" onClick={() => zoom(1 / (STEP * STEP))}>
          Out
        </button>
        <button
          type="button"
          class="past-button"
          onClick={() => change((window, reach) => panned(window, reach.nowMs - window.toMs, reach))}
        >
          Now
        </button>
        <span class="past-asking" role="status">
          {past.isAsking.value ? 'Asking the monitor…' : ''}
        </span>
      </p>
    </div>
  )
}

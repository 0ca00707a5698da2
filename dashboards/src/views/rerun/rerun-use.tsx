import { useState } from 'preact/hooks'
import type { RerunView } from '../../../../services/core/model/rerun.ts'
import type { AppModel } from '../../models/app-model.ts'
import { valueText } from '../../words/rerun-words.ts'

/** Puts the tried limit into use; asks once, and says what it changes. */
export function RerunUse({ app, rerun }: { app: AppModel; rerun: RerunView }) {
  const [asks, setAsks] = useState(false)
  const { choice, order, outcomes } = rerun
  const today = app.rerun.limits.value?.find((c) => c.limit === choice.limit)?.todayValue
  if (outcomes.length < 2) return null
  if (today === order.value)
    return <p class="evidence">{`This limit now stands at ${valueText(order.value, choice)}.`}</p>
  const tried = valueText(order.value, choice)
  if (!asks) {
    return (
      <button type="button" class="do" onClick={() => setAsks(true)}>
        Use this limit
      </button>
    )
  }
  const follows = /\.open(?:Below|Above)$/.test(choice.limit)
    ? ' The level at which it is well again moves with it.'
    : ''
  return (
    <div class="confirm" role="group" aria-label="Use this limit">
      <p>{`${choice.group}, ${choice.title.toLowerCase()}: ${tried} instead of ${valueText(choice.todayValue, choice)}, from now on.${follows} The figures of this re-run are kept beside the change.`}</p>
      <div class="buttons">
        <button
          type="button"
          class="do"
          ref={(el) => el?.focus()}
          onClick={() => void app.rerun.use(order.value).then((done) => done && setAsks(false))}
        >
          {`Yes, use ${tried}`}
        </button>
        <button type="button" class="plain" onClick={() => setAsks(false)}>
          Leave it as it is
        </button>
      </div>
    </div>
  )
}

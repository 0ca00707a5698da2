import { hashOf } from '../../../models/route.ts'
import { isStepDone, WALK_STEPS } from '../../../models/walk.ts'
import { firstWords } from '../../../words/first-words.ts'
import type { StepProps } from './step-parts.tsx'

/** What the board says now, what it will say next, and what could still be done. */
export function EndStep({ app, settings }: StepProps) {
  const left = WALK_STEPS.filter(({ id }) => id !== 'end' && !isStepDone(id, settings))
  const scale = settings.bottles.find(({ id }) =>
    settings.sensors.some((s) => s.subject.kind === 'bottle' && s.subject.id === id),
  )
  return (
    <>
      {firstWords(settings, app.sensors.view.value, app.sensors.latest.value).map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {left.length > 0 && (
        <p>
          {'Left for later: '}
          {left.map(({ id, title }, at) => (
            <>
              {at > 0 && ', '}
              <a href={hashOf({ page: 'setup', part: 'walk', detail: id })}>{title.toLowerCase()}</a>
            </>
          ))}
          .
        </p>
      )}
      {scale && (
        <p>
          <a href={hashOf({ page: 'setup', part: 'scale', detail: scale.id })}>
            {`Calibrate the scale of ${scale.title}`}
          </a>
          {' while you stand at it: with a weight that you know, it takes some minutes.'}
        </p>
      )}
      <p class="buttons walk-on">
        <a class="do do-calm" href="#/">
          To the board
        </a>
      </p>
    </>
  )
}

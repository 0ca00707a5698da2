import { useEffect, useRef } from 'preact/hooks'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { hashOf } from '../../../models/route.ts'
import {
  isStepDone,
  missingFor,
  stepAfter,
  WALK_STEPS,
  walkStepOf,
  type WalkStep,
} from '../../../models/walk.ts'
import { FaultList } from '../settings-form.tsx'
import { Waiting } from '../../states.tsx'
import { BottleStep } from './bottle-step.tsx'
import { EndStep } from './end-step.tsx'
import { MachineStep } from './machine-step.tsx'
import { NodeStep } from './node-step.tsx'
import { RoomStep } from './room-step.tsx'
import { SensorsStep } from './sensors-step.tsx'
import { ShopStep } from './shop-step.tsx'
import type { StepProps } from './step-parts.tsx'
import { ToldStep } from './told-step.tsx'

/** Eight steps from an empty shop to a board that watches; each can be left and taken up again. */
export function WalkView({ app, detail }: { app: AppModel; detail?: string | undefined }) {
  const settings = app.settings.saved.value
  const heading = useRef<HTMLHeadingElement>(null)
  const step = settings && walkStepOf(detail, settings)
  useEffect(() => {
    if (detail !== undefined) heading.current?.focus()
  }, [detail])
  if (!settings || !step) return <Waiting />
  if (!app.session.may('changeSettings')) return <p class="hint">Only an owner of the shop can set it up.</p>
  const at = WALK_STEPS.findIndex(({ id }) => id === step)
  const goOn = (): void => {
    location.hash = hashOf({ page: 'setup', part: 'walk', detail: stepAfter(step) })
  }
  const missing = missingFor(step, settings)
  return (
    <div class="walk">
      <StepList settings={settings} here={step} />
      <section class="walk-step" aria-labelledby="walk-step">
        <h2 id="walk-step" tabIndex={-1} ref={heading}>
          {`${at + 1} of ${WALK_STEPS.length}: ${WALK_STEPS[at]?.title ?? ''}`}
        </h2>
        <FaultList app={app} />
        {missing === '' ? (
          <Step key={step} step={step} app={app} settings={settings} goOn={goOn} />
        ) : (
          <p class="hint">{missing}</p>
        )}
      </section>
    </div>
  )
}

function StepList({ settings, here }: { settings: Settings; here: WalkStep }) {
  return (
    <ol class="walk-steps">
      {WALK_STEPS.map(({ id, title }) => (
        <li key={id}>
          <a
            href={hashOf({ page: 'setup', part: 'walk', detail: id })}
            aria-current={id === here ? 'step' : undefined}
          >
            {title}
          </a>
          {isStepDone(id, settings) && <span class="walk-done">done</span>}
        </li>
      ))}
    </ol>
  )
}

function Step({ step, ...props }: StepProps & { step: WalkStep }) {
  switch (step) {
    case 'shop':
      return <ShopStep {...props} />
    case 'room':
      return <RoomStep {...props} />
    case 'machine':
      return <MachineStep {...props} />
    case 'bottle':
      return <BottleStep {...props} />
    case 'told':
      return <ToldStep {...props} />
    case 'node':
      return <NodeStep {...props} />
    case 'sensors':
      return <SensorsStep {...props} />
    case 'end':
      return <EndStep {...props} />
  }
}

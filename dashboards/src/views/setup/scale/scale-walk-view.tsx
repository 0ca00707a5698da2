import { useEffect, useRef, useState } from 'preact/hooks'
import type { Bottle, SensorBinding } from '../../../../../services/core/model/settings.ts'
import type { AppModel } from '../../../models/app-model.ts'
import {
  BEGIN,
  calibrate,
  redo,
  SCALE_STEPS,
  sentOf,
  settlingOf,
  stepOf,
  take,
  undo,
  type ScaleStep,
  type ScaleWalk,
  type SentWeight,
  type Settling,
} from '../../../models/scale-walk.ts'
import { heardAgo } from '../../../words/heard-ago.ts'
import { SCALE_STEP_WORDS, settlingWords } from '../../../words/scale-words.ts'
import { Field } from '../../field.tsx'
import { ScaleResult } from './scale-result.tsx'

interface WalkProps {
  readonly app: AppModel
  readonly bottle: Bottle
  readonly sensor: SensorBinding
}
const KEPT_READINGS = 60

/** What the scale sent since the page is open, before any correction. */
function useSent({ app, sensor }: Pick<WalkProps, 'app' | 'sensor'>): readonly SentWeight[] {
  const [sent, setSent] = useState<readonly SentWeight[]>([])
  const live = app.sensors.latest.value.get(sensor.id)
  useEffect(() => {
    if (!live) return
    setSent((list) =>
      list.at(-1)?.atMs === live.atMs
        ? list
        : [...list, { atMs: live.atMs, sent: sentOf(live.value, sensor) }].slice(-KEPT_READINGS),
    )
  }, [live?.atMs])
  return sent
}

export function ScaleWalkView({ app, bottle, sensor }: WalkProps) {
  const [walk, setWalk] = useState<ScaleWalk>(BEGIN)
  const [begun, setBegun] = useState(false)
  const [sinceMs, setSinceMs] = useState(-Infinity)
  const [weightKg, setWeightKg] = useState(2)
  const [isOver, setOver] = useState(false)
  const heading = useRef<HTMLHeadingElement>(null)
  const sent = useSent({ app, sensor })
  const nowMs = app.clock.nowMs.value
  const step = isOver ? null : stepOf(walk)
  const settling = settlingOf(walk, sent, { sinceMs, nowMs, binding: sensor })
  const move = (next: ScaleWalk): void => {
    setWalk(next)
    setOver(false)
    setSinceMs(sent.at(-1)?.atMs ?? -Infinity)
    heading.current?.focus()
  }
  const mayTake = step !== null && begun && settling.kind === 'steady' && (step !== 'weight' || weightKg > 0)
  // The full line is taken by hand: a bottle that is being filled stands still now and then.
  useEffect(() => {
    if (mayTake && step !== 'full' && settling.kind === 'steady') move(take(walk, settling.sent))
  }, [mayTake, step, settling.kind])
  return (
    <section class="scale" aria-labelledby="scale-step">
      <p class="hint">{`${bottle.title}: the scale ${sensor.title ?? sensor.id}.`}</p>
      <h2 id="scale-step" tabIndex={-1} ref={heading}>
        {step
          ? `${SCALE_STEPS.indexOf(step) + 1} of ${SCALE_STEPS.length}: ${SCALE_STEP_WORDS[step].title}`
          : 'What came of it'}
      </h2>
      {step ? (
        <>
          <p class="scale-todo">{SCALE_STEP_WORDS[step].todo}</p>
          {step === 'weight' && <WeightField weightKg={weightKg} set={setWeightKg} />}
          {begun ? (
            <Live settling={settling} sent={sent} nowMs={nowMs} sensor={sensor} />
          ) : (
            <p class="buttons">
              <button type="button" class="do do-calm" onClick={() => setBegun(true)}>
                The scale is empty: begin
              </button>
            </p>
          )}
          {step === 'full' && (
            <FullButtons
              settling={settling}
              takeIt={(value) => move(take(walk, value))}
              leaveOut={() => setOver(true)}
            />
          )}
        </>
      ) : (
        <ScaleResult
          app={app}
          bottle={bottle}
          sensor={sensor}
          weightKg={weightKg}
          found={calibrate(walk, { weightKg, bottle, binding: sensor })}
        />
      )}
      <TakenList walk={walk} sensor={sensor} />
      <p class="buttons">
        {(walk.taken.length > 0 || isOver) && (
          <button type="button" class="plain strong" onClick={() => (isOver ? setOver(false) : move(undo(walk)))}>
            One step back
          </button>
        )}
        {walk.undone.length > 0 && (
          <button type="button" class="plain strong" onClick={() => move(redo(walk))}>
            That step as it was
          </button>
        )}
        <a href="#/setup/scale">Leave it as it is</a>
      </p>
    </section>
  )
} // prettier-ignore

function WeightField({ weightKg, set }: { weightKg: number; set: (kg: number) => void }) {
  return (
    <Field
      label="It weighs, in kg"
      id="scale-weight"
      hint="Write it down before you put it on: the value is taken as soon as the scale is steady."
    >
      <input
        id="scale-weight"
        type="number"
        inputMode="decimal"
        min={0.001}
        max={1000}
        step="any"
        required
        aria-describedby="scale-weight-hint"
        defaultValue={String(weightKg)}
        onInput={(event) => {
          const kg = event.currentTarget.valueAsNumber
          set(Number.isFinite(kg) ? kg : 0)
        }}
      />
    </Field>
  )
}

/** The value as it comes in, and whether it is steady: readable from where the scale stands. */
function Live({
  settling,
  sent,
  nowMs,
  sensor,
}: {
  settling: Settling
  sent: readonly SentWeight[]
  nowMs: number
  sensor: SensorBinding
}) {
  const last = sent.at(-1)
  const isSteady = settling.kind === 'steady'
  return (
    <div class="scale-live">
      <p class="scale-value">{last ? valueText(last.sent, sensor) : 'nothing heard'}</p>
      <p class={isSteady ? 'scale-steady' : ''} role="status">
        {settlingWords(settling)}
      </p>
      <p class="evidence">{heardAgo(last?.atMs ?? null, nowMs)}</p>
    </div>
  )
}

/** What is on record as sent is shown by the calibration in force, which people know; a new scale has none. */
function valueText(sent: number, sensor: SensorBinding): string {
  const found = sensor.foreign ?? sensor.correction
  return found ? `${(sent * found.scale + found.offset).toFixed(3)}\u00A0kg` : `${sent.toFixed(4)} as sent`
}

function FullButtons({
  settling,
  takeIt,
  leaveOut,
}: {
  settling: Settling
  takeIt: (sent: number) => void
  leaveOut: () => void
}) {
  return (
    <p class="buttons">
      <button
        type="button"
        class="do do-calm"
        disabled={settling.kind !== 'steady'}
        onClick={() => settling.kind === 'steady' && takeIt(settling.sent)}
      >
        It stands at the full line
      </button>
      <button type="button" class="plain strong" onClick={leaveOut}>
        Leave this out
      </button>
    </p>
  )
}

function TakenList({ walk: { taken }, sensor }: { walk: ScaleWalk; sensor: SensorBinding }) {
  if (taken.length === 0) return null
  const words = (step: ScaleStep): string => SCALE_STEP_WORDS[step].taken
  return (
    <>
      <h3>Taken</h3>
      <ul>
        {taken.map(({ step, sent }) => (
          <li key={step}>{`${valueText(sent, sensor)}: ${words(step)}`}</li>
        ))}
      </ul>
    </>
  )
}

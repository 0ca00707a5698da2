import type { ClosingAnswer } from '../../api/shop-api.ts'
import { MachineDrawing } from '../../drawings/machine-drawing.tsx'
import type { AppModel } from '../../models/app-model.ts'
import { waitingTick } from '../../phone/unsent.ts'
import { unbroken } from '../../words/quantity-text.ts'
import { clockTime } from '../../words/shop-time.ts'
import { StepMark } from './step-mark.tsx'

type Group = ClosingAnswer['groups'][number]
type Step = Group['steps'][number]
interface GroupProps {
  readonly app: AppModel
  readonly list: ClosingAnswer
  readonly group: Group
}

export function ClosingGroup({ app, list, group }: GroupProps) {
  const id = `closing-${group.machineId ?? 'shop'}`
  const cautions = [...new Set(group.steps.flatMap((s) => s.cautions))]
  return (
    <section aria-labelledby={id}>
      <h2 id={id}>{group.title}</h2>
      {group.outOfService ? (
        <p class="evidence">Out of service: it asks for nothing tonight.</p>
      ) : (
        <>
          <Servicing app={app} list={list} group={group} />
          {cautions.length > 0 && (
            <div class="cautions" role="group" aria-label={`Take care at ${group.title}`}>
              <ul>
                {cautions.map((text) => (
                  <li key={text}>{text}</li>
                ))}
              </ul>
            </div>
          )}
          <ul class="closing-steps">
            {group.steps.map((step) => (
              <ClosingStep key={step.id} app={app} list={list} group={group} step={step} />
            ))}
          </ul>
        </>
      )}
    </section>
  )
}

/** Said before reaching in, so that an open cap raises no alarm. */
function Servicing({ app, list, group: { machineId, title, servicedUntilMs } }: GroupProps) {
  if (machineId === null || !app.session.may('workOnMachines')) return null
  const isServiced = servicedUntilMs !== null
  return (
    <p class="closing-servicing">
      <button
        type="button"
        class="do do-calm"
        onClick={() => void app.closing.sayServicing(machineId, !isServiced)}
      >
        {isServiced ? 'Done, it is capped' : 'I am working on it'}
        <span class="only-read">{`: ${title}`}</span>
      </button>
      {isServiced && (
        <span class="evidence">{`No alarm for an open cap until ${clockTime(servicedUntilMs, list.timeZone)}.`}</span>
      )}
    </p>
  )
}

const WAITS_DONE = 'You said it is done: waiting to be sent.'
const WAITS_BACK = 'You took it back: waiting to be sent.'

/** One tap does it, another takes it back. */
function ClosingStep({ app, list, group, step }: GroupProps & { readonly step: Step }) {
  const done = step.state === 'ticked'
  const waits = waitingTick(app.unsent.entries.value, { id: step.id, machineId: group.machineId })
  const mayTap = step.mayTap && app.session.may('doClosing')
  const words = (
    <>
      <StepMark state={step.state} />
      <span class="closing-words">
        <span class="closing-text">{step.text}</span>
        <span class="evidence">
          {waits === null ? unbroken(stateWords(step, list)) : waits ? WAITS_DONE : WAITS_BACK}
        </span>
      </span>
    </>
  )
  return (
    <li class="closing-step">
      {mayTap ? (
        <button
          type="button"
          class="closing-tap"
          aria-pressed={done}
          onClick={() =>
            void app.closing.tick({ id: step.id, machineId: group.machineId, done: !(waits ?? done) })
          }
        >
          {words}
        </button>
      ) : (
        <p class="closing-tap">{words}</p>
      )}
      {step.picture && (
        <details>
          <summary>
            Show where<span class="only-read">{`: ${step.text}, ${group.title}`}</span>
          </summary>
          <MachineDrawing picture={step.picture} />
        </details>
      )}
    </li>
  )
}

function stateWords({ state, evidence, ticked, required }: Step, { names, timeZone }: ClosingAnswer): string {
  const by = ticked && `${names[ticked.actorId] ?? 'Somebody'} at ${clockTime(ticked.atMs, timeZone)}`
  switch (state) {
    case 'confirmed':
      return `Seen. ${evidence}`
    case 'refuted':
      return `Not so. ${evidence}`
    case 'ticked':
      return evidence ? `Looked at by ${by}.` : `Done by ${by}.`
    case 'unknown':
      return `${evidence} Tap it when you have looked.`
    case 'open':
      return required ? 'To do.' : 'To do, if it is needed.'
  }
}

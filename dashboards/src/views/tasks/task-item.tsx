import { useEffect, useRef } from 'preact/hooks'
import type { TaskView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf } from '../../models/route.ts'
import { dayClock, nearTime } from '../../words/shop-time.ts'
import { askedWords, isPutOff } from '../../words/task-words.ts'
import { standingOfUrgency, urgencyWord } from '../../words/standing-words.ts'
import { StandingMark } from '../standing-mark.tsx'
import { ProofLines } from './proof-lines.tsx'
import { SignOff } from './sign-off.tsx'
import { TaskPlans } from './task-plans.tsx'

/** A task in the list; opened it shows cautions first, then what to fetch, then the steps, then the sign-off; who and when is folded away. */
export function TaskItem({ app, task, isOpen }: { app: AppModel; task: TaskView; isOpen: boolean }) {
  const link = useRef<HTMLAnchorElement>(null)
  useEffect(() => {
    if (isOpen) link.current?.focus()
  }, [isOpen])
  const site = app.board.board.value?.site
  const timeZone = site?.timeZone ?? 'UTC'
  const nowMs = app.clock.quarterMinuteMs.value
  const since = nearTime(task.openedMs, { timeZone, nowMs })
  const putOff = isPutOff(task, nowMs) ? task.deferred : null
  // What was put off needs nobody for now, so it has neither colour nor urgency.
  const standing = putOff ? 'setAside' : standingOfUrgency(task.urgency)
  const to = hashOf({ page: 'tasks', taskId: isOpen ? null : task.id })
  return (
    <li class={isOpen ? 'task task-open' : 'task'}>
      <h2 class="task-title">
        <StandingMark standing={standing} />
        <a ref={link} href={to} aria-expanded={isOpen}>
          {task.title}
        </a>
      </h2>
      <p class="evidence">
        <span class={`standing-word standing-${standing}`}>
          {putOff
            ? `Put off until ${dayClock(putOff.untilMs, { timeZone, nowMs })}`
            : urgencyWord(task.urgency, site)}
        </span>
        {putOff ? `: ${putOff.reason}` : `, since ${since}`}
        {task.assignee !== null && `, ${task.assignee} does it`}
        {askedWords(task)}
      </p>
      {isOpen && <TaskBody app={app} task={task} />}
    </li>
  )
}

function TaskBody({ app, task }: { app: AppModel; task: TaskView }) {
  return (
    <div class="task-body">
      <p class="why">{task.why}</p>
      {task.otherReasons.map((reason) => (
        <p key={reason} class="why">
          {reason}
        </p>
      ))}
      {task.cautions.length > 0 && (
        <section class="cautions" aria-label="Take care">
          <h3>Take care</h3>
          <ul>
            {task.cautions.map((text) => (
              <li>{text}</li>
            ))}
          </ul>
        </section>
      )}
      {task.tools.length + task.supplies.length > 0 && (
        <section aria-label="Have ready">
          <h3>Have ready</h3>
          <ul class="supplies">
            {[...task.tools, ...task.supplies].map((text) => (
              <li>{text}</li>
            ))}
          </ul>
        </section>
      )}
      <section aria-label="Steps">
        <h3>Steps</h3>
        <ol class="steps">
          {task.steps.map((text) => (
            <li>{text}</li>
          ))}
        </ol>
      </section>
      {task.proofNow && <ProofLines proof={[task.proofNow]} />}
      {app.session.may('signOffTasks') && <SignOff app={app} task={task} />}
      {app.session.may('planTasks') && <TaskPlans app={app} task={task} />}
    </div>
  )
}

import { useEffect } from 'preact/hooks'
import type { TaskView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { nearTime } from '../../words/shop-time.ts'
import { closedWords, isPutOff } from '../../words/task-words.ts'
import { ProofLines } from './proof-lines.tsx'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { TaskItem } from './task-item.tsx'
import { StartWork } from './start-work.tsx'

export function TasksView({ app, taskId }: { app: AppModel; taskId: string | null }) {
  const { open, closed, trouble, announcement } = app.tasks
  useEffect(() => {
    if (open.peek() === null) void app.tasks.load()
    app.work.hush()
    void app.work.loadPlans()
  }, [])
  if (!open.value)
    return trouble.value ? <Trouble text={trouble.value} retry={() => void app.tasks.load()} /> : <Waiting />
  const nowMs = app.clock.quarterMinuteMs.value
  const later = open.value.filter((task) => isPutOff(task, nowMs))
  const now = open.value.filter((task) => !isPutOff(task, nowMs))
  const isGone = taskId !== null && !open.value.some((t) => t.id === taskId)
  return (
    <>
      <h1 class="statement" id="tasks-title" tabIndex={-1}>
        {statementOf(now.length, later.length)}
      </h1>
      <Announcement text={announcement.value || app.work.announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {app.work.trouble.value && <Trouble text={app.work.trouble.value} />}
      {isGone && !announcement.value && (
        <p class="hint">The task you followed is no longer open. See below how it ended.</p>
      )}
      <ol class="tasks">
        {now.map((task) => (
          <TaskItem key={task.id} app={app} task={task} isOpen={task.id === taskId} />
        ))}
      </ol>
      {later.length > 0 && (
        <section aria-labelledby="deferred">
          <h2 id="deferred">Put off</h2>
          <ol class="tasks">
            {later.map((task) => (
              <TaskItem key={task.id} app={app} task={task} isOpen={task.id === taskId} />
            ))}
          </ol>
        </section>
      )}
      <StartWork app={app} />
      {closed.value.length > 0 && <DoneLately app={app} tasks={closed.value} />}
    </>
  )
}

function statementOf(now: number, later: number): string {
  if (now > 0) return 'What waits for you'
  return later > 0 ? 'Nothing needs you now.' : 'Nothing needs you.'
}

function DoneLately({ app, tasks }: { app: AppModel; tasks: readonly TaskView[] }) {
  const timeZone = app.board.board.value?.site.timeZone ?? 'UTC'
  const nowMs = app.clock.quarterMinuteMs.value
  return (
    <section class="done-lately" aria-labelledby="done-lately">
      <h2 id="done-lately">Done lately</h2>
      <ul>
        {tasks.map((task) => (
          <li key={task.id}>
            <p class="done-title">{task.title}</p>
            <p class="evidence">
              {closedWords(task, (atMs) => nearTime(atMs, { timeZone, nowMs }))}
              {task.signedOff?.note && <q class="note">{task.signedOff.note}</q>}
            </p>
            <ProofLines proof={task.proof} />
          </li>
        ))}
      </ul>
    </section>
  )
}

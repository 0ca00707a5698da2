import { judgeAct } from '../../services/core/kernel/judge-act.ts'
import type { Disposal } from '../../services/core/model/disposal.ts'
import type { HumanAct } from '../../services/core/model/ports/monitor.ts'
import type { Task } from '../../services/core/model/task.ts'
import type { Reply, Route, ShopState } from './board-server.ts'
import { inventedDisposals } from './invented-work.ts'
import { inventedSettings } from './invented-tasks.ts'
import { createWorkRun } from './work-run.ts'

type Work = ReturnType<typeof createWorkRun>
type Fields = Record<string, unknown>
type Unstamped<T> = T extends { act: unknown } ? Omit<T, 'act' | 'atMs' | 'receivedMs'> : never
const NAME = 'Mira'

/**
 * The work of an invented shop, judged and kept by the real kernel: what is sent from a page becomes an input, and the
 * lists show its effects. `shop.state.routes` takes its routes.
 */
export function createWorkBoard(nowMs: number) {
  const { rooms, machines, bottles } = inventedSettings()
  const work = createWorkRun({ rooms, machines, bottles }, { fromMs: nowMs, bottleId: 'back-waste' })
  const calendars: { id: string; title: string; createdMs: number }[] = []
  return { work, calendars, routes: [...taskRoutes(work), ...calendarRoutes(calendars, nowMs)] }
}

/** Judges it as the monitor does; a refusal is answered with its reason. */
function submit(work: Work, said: Unstamped<HumanAct>): Reply {
  const act = { actorId: 'person-1', via: 'screen' as const, atMs: work.nowMs() }
  const outcome = judgeAct(work.state(), { ...said, act })
  if (!outcome.ok)
    return {
      status: 409,
      body: { type: 'about:blank', title: 'Refused', status: 409, detail: outcome.reason },
    }
  work.say(said)
  return { status: 204 }
}

const fieldsOf = (body: string): Fields => JSON.parse(body || '{}') as Fields

function taskView(task: Task) {
  return {
    ...task,
    signedOffBy: task.signedOff && NAME,
    assignee: task.assigneeId && NAME,
    proofNow: null,
  }
}

function taskRoutes(work: Work): Route[] {
  const send =
    (type: HumanAct['type'], name: string | null) => (_: ShopState, asked: { body: string; id: string }) =>
      submit(work, {
        type,
        ...fieldsOf(asked.body),
        ...(name && { [name]: asked.id }),
      } as Unstamped<HumanAct>)
  let logged = 0
  return [
    [
      'GET',
      /^\/tasks$/,
      (_, { url }) => {
        const wantsOpen = url.searchParams.get('state') !== 'closed'
        const tasks = work.tasks().filter((t) => (t.state === 'open') === wantsOpen)
        return { status: 200, body: { tasks: tasks.map(taskView) } }
      },
    ],
    ['POST', /^\/tasks\/([^/]+)\/sign-off$/, send('taskSignedOff', 'taskId')],
    ['POST', /^\/tasks\/([^/]+)\/assignment$/, send('taskAssigned', 'taskId')],
    ['POST', /^\/tasks\/([^/]+)\/deferral$/, send('taskDeferred', 'taskId')],
    ['POST', /^\/routines\/([^/]+)\/start$/, send('routineStarted', 'routineId')],
    ['POST', /^\/symptoms$/, send('symptomReported', null)],
    [
      'POST',
      /^\/disposals$/,
      (_, { body }) =>
        submit(work, {
          type: 'disposalLogged',
          disposalId: `d${++logged}`,
          ...fieldsOf(body),
        } as Unstamped<HumanAct>),
    ],
    ['PUT', /^\/disposals\/([^/]+)$/, send('disposalLogged', 'disposalId')],
    [
      'GET',
      /^\/disposals$/,
      () => ({
        status: 200,
        body: { ...inventedDisposals(work.nowMs()), disposals: newestOf(versionsOf(work)) },
      }),
    ],
    [
      'GET',
      /^\/disposals\/([^/]+)\/history$/,
      (_, { id }) => ({
        status: 200,
        body: { entries: versionsOf(work).filter((d) => d.disposalId === id) },
      }),
    ],
  ]
}

function versionsOf(work: Work): readonly (Disposal & { by: string })[] {
  return work.effects.flatMap((e) => (e.type === 'disposalLogged' ? [{ ...e.disposal, by: NAME }] : []))
}

function newestOf(versions: readonly (Disposal & { by: string })[]) {
  const ids = [...new Set(versions.map((v) => v.disposalId))]
  return ids.map((id) => {
    const all = versions.filter((v) => v.disposalId === id)
    return { ...all.at(-1), corrections: all.length - 1 }
  })
}

function calendarRoutes(
  calendars: { id: string; title: string; createdMs: number }[],
  nowMs: number,
): Route[] {
  return [
    ['GET', /^\/calendars$/, () => ({ status: 200, body: { calendars } })],
    [
      'POST',
      /^\/calendars$/,
      (_, { body }) => {
        const title = String(fieldsOf(body)['title'])
        calendars.push({ id: `calendar-${calendars.length}`, title, createdMs: nowMs })
        return { status: 201, body: { id: 'calendar-0', path: '/calendar/an-invented-secret.ics' } }
      },
    ],
    [
      'DELETE',
      /^\/calendars\/([^/]+)$/,
      (_, { id }) => {
        calendars.splice(
          calendars.findIndex((c) => c.id === id),
          1,
        )
        return { status: 204 }
      },
    ],
  ]
}

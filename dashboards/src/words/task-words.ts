import type { TaskView } from '../api/shop-api.ts'

/** How a task ended, and through whom. A name that was erased leaves "someone". */
export function closedWords(task: TaskView, timeText: (atMs: number) => string): string {
  const at = task.closedMs === null ? '' : `, ${timeText(task.closedMs)}`
  switch (task.state) {
    case 'signedOff':
      return `Signed off by ${task.signedOffBy ?? 'someone whose name was erased'}${at}. `
    case 'overByItself':
      return `Over by itself${at}. `
    case 'withdrawn':
      return task.alarmId === null && task.routineId !== null
        ? `Taken back${at}: its routine no longer asks for it. `
        : `Withdrawn${at}: its reason proved never to have been. `
    case 'missed':
      return `Missed${at}: its next turn came. `
    case 'open':
      return 'Still open. '
  }
}

/** Is it put off, and is that not over yet? */
export function isPutOff<T extends Pick<TaskView, 'deferred'>>(
  task: T,
  nowMs: number,
): task is T & { deferred: NonNullable<T['deferred']> } {
  return task.deferred !== null && task.deferred.untilMs > nowMs
}

/** How often it was asked for, where that is more than once. */
export function askedWords({ repeats }: Pick<TaskView, 'repeats'>): string {
  if (repeats === 0) return ''
  return repeats === 1 ? ', asked for again' : `, asked for ${repeats + 1} times`
}

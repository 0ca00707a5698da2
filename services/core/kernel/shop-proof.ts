import { proofOf } from '../advise/tasks/proof.ts'
import type { Effect } from '../model/effect.ts'
import type { Proof, Task } from '../model/task.ts'
import { factsOf } from './known-facts.ts'
import { openAlarmTask, openTaskOf, tell } from './shop-tasks.ts'
import type { KernelState } from './state.ts'

type Emit = (effect: Effect) => void

/**
 * A bottle that was put back must come to rest on its scale, and a room takes its time: a sign-off is held against the
 * sensors at once, and what speaks against it is said only after this long. Starting value.
 */
export const PROOF_WAIT_MS = 10 * 60_000

/**
 * The sign-off of a task against what sensors see.
 *
 * SIGN-1 what sensors say when it is signed stands beside the signature.
 * SIGN-2 what is not proven then may be proven until `PROOF_WAIT_MS` later; the proof is added.
 * SIGN-3 what speaks against it counts only then. It is said plainly; the signature stays, and so does the alarm; while
 *        that stands, the work is asked for again.
 */
export function proveSignedOff(state: KernelState, task: Task, nowMs: number): void {
  const proof = proofOf(task, factsOf(state), nowMs)
  if (!proof) return
  task.proof = [...task.proof, proof.verdict === 'contradicted' ? { ...proof, verdict: 'notSeen' } : proof]
  if (proof.verdict !== 'proven') state.shop.proving.set(task.id, { task, untilMs: nowMs + PROOF_WAIT_MS })
}

/** When the wait for a proof is over. */
export function proofDeadlineMs({ shop }: KernelState): number {
  let soonest = Infinity
  for (const { untilMs } of shop.proving.values()) if (untilMs < soonest) soonest = untilMs
  return soonest
}

/** Looks whether what was signed is proven now, or never was. */
export function fireProofs(state: KernelState, nowMs: number, emit: Emit): void {
  for (const [id, { task, untilMs }] of state.shop.proving) {
    const isOver = state.clockMs >= untilMs
    const proof = proofOf(task, factsOf(state), nowMs)
    if (proof?.verdict !== 'proven' && !isOver) continue
    state.shop.proving.delete(id)
    if (proof && isNews(proof, task)) {
      task.proof = [...task.proof, proof]
      tell(task, nowMs, emit)
    }
    if (proof?.verdict === 'contradicted') askAgain(state, task, nowMs, emit)
  }
}

function isNews(proof: Proof, { proof: told }: Task): boolean {
  const last = told.at(-1)
  return last?.verdict !== proof.verdict || last.text !== proof.text
}

function askAgain(state: KernelState, { alarmId, workKey, repeats }: Task, nowMs: number, emit: Emit): void {
  const alarm = state.shop.alarms.get(alarmId ?? '')
  if (!alarm || alarm.returnedMs !== null || openTaskOf(state, workKey)) return
  openAlarmTask(state, alarm, { nowMs, emit, repeats: repeats + 1 })
}

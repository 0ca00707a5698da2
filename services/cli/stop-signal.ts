/** Ends when the process is asked to stop. A second request stops at once, whatever is under way. */
export function stopSignal(): { readonly signal: AbortSignal; readonly stopped: Promise<void> } {
  const controller = new AbortController()
  const stopped = new Promise<void>((resolve) => controller.signal.addEventListener('abort', () => resolve()))
  for (const name of ['SIGINT', 'SIGTERM'] as const) {
    process.on(name, () => (controller.signal.aborted ? process.exit(130) : controller.abort()))
  }
  return { signal: controller.signal, stopped }
}

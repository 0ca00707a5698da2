/** What is wrong with one field: where it stands (JSON Pointer, RFC 6901) and how to mend it. */
export interface FieldError {
  readonly pointer: string
  readonly detail: string
}

/** Why the server did not do what it was asked. A value: screens show it as a sentence with the cure. */
export interface Failure {
  readonly kind: 'unreachable' | 'signedOut' | 'refused' | 'kept'
  /** HTTP status; 0 when nothing answered. */
  readonly status: number
  readonly title: string
  readonly detail: string
  readonly errors: readonly FieldError[]
}

export type Answer<T> =
  | {
      readonly ok: true
      readonly value: T
      /** When it was heard by this device's clock, of an answer that was kept; left out of one of now. */
      readonly heardMs?: number
      /** Names this very state of what was asked for (ETag). */
      readonly version?: string
      /** The newest event that it knows of (Last-Event-ID), for following what comes after. */
      readonly lastEventId?: string
    }
  | { readonly ok: false; readonly failure: Failure }

export const UNREACHABLE: Failure = {
  kind: 'unreachable',
  status: 0,
  title: 'The monitor does not answer',
  detail: 'Check that this device is on the network of the shop and that the monitor runs, then try again.',
  errors: [],
}

/** What was said while there was no line. It is not taken down yet, and nothing on the screen may look as if it were. */
export const KEPT: Failure = {
  kind: 'kept',
  status: 0,
  title: 'Not sent yet',
  detail: 'It is kept on this device and sent when the shop can be reached, while Nightcap is open here.',
  errors: [],
}

/** Problem details (RFC 9457) of a refusal as a failure; the body may be anything. */
export function toFailure(status: number, body: unknown): Failure {
  const told = isRecord(body) ? body : {}
  const errors = Array.isArray(told['errors']) ? (told['errors'] as unknown[]).flatMap(toFieldError) : []
  return {
    kind: status === 401 ? 'signedOut' : 'refused',
    status,
    title: textOf(told['title']) ?? `The monitor refused (${status})`,
    detail: textOf(told['detail']) ?? 'Try again; if it stays so, look into the log of the monitor.',
    errors,
  }
}

/** One sentence for a person: what went wrong, and the cure. */
export function failureSentence({ title, detail }: Pick<Failure, 'title' | 'detail'>): string {
  const cure = detail.charAt(0).toUpperCase() + detail.slice(1)
  return `${title}. ${/[.!?]$/.test(cure) ? cure : `${cure}.`}`
}

function toFieldError(error: unknown): FieldError[] {
  if (!isRecord(error)) return []
  const pointer = textOf(error['pointer'])
  const detail = textOf(error['detail'])
  return pointer === null || detail === null ? [] : [{ pointer, detail }]
}

function textOf(value: unknown): string | null {
  return typeof value === 'string' ? value : null
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null
}

import type { ComponentChildren } from 'preact'

/** A labelled field with its hint and its fault. The input inside names them by `describedBy`. */
export function Field({
  label,
  id,
  hint = '',
  fault = '',
  children,
}: {
  label: string
  id: string
  hint?: string
  fault?: string
  children: ComponentChildren
}) {
  return (
    <div class={fault ? 'field field-faulty' : 'field'}>
      <label for={id}>{label}</label>
      {children}
      {hint && (
        <p class="hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
      {fault && (
        <p class="fault" id={`${id}-fault`}>
          {fault}
        </p>
      )}
    </div>
  )
}

/** What an input inside a field is described by. */
export function describedBy(
  id: string,
  { hint = '', fault = '' }: { hint?: string; fault?: string },
): string | undefined {
  const ids = [hint && `${id}-hint`, fault && `${id}-fault`].filter((part) => part !== '')
  return ids.length === 0 ? undefined : ids.join(' ')
}

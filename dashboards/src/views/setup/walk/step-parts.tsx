import type { ComponentChildren } from 'preact'
import type { Settings } from '../../../../../services/core/model/settings.ts'
import type { AppModel } from '../../../models/app-model.ts'

/** What every step is given. */
export interface StepProps {
  readonly app: AppModel
  readonly settings: Settings
  readonly goOn: () => void
}

/** A step's form: its fields, what leads on, and a way past it. */
export function StepForm({
  busy,
  word = 'Save and go on',
  skip,
  skipWord = 'Later',
  send,
  children,
}: {
  busy: boolean
  word?: string
  skip?: (() => void) | undefined
  skipWord?: string
  send: () => void
  children: ComponentChildren
}) {
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault()
        send()
      }}
    >
      {children}
      <p class="buttons walk-on">
        <button type="submit" class="do do-calm" disabled={busy}>
          {word}
        </button>
        {skip && (
          <button type="button" class="plain" onClick={skip}>
            {skipWord}
          </button>
        )}
      </p>
    </form>
  )
}

/** A list of what is there already, so that nobody adds it twice. */
export function ThereAlready({ titles }: { titles: readonly string[] }) {
  if (titles.length === 0) return null
  return <p class="hint">{`There already: ${titles.join('; ')}. Another one:`}</p>
}

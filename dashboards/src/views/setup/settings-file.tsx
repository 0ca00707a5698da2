import { useEffect, useRef, useState } from 'preact/hooks'
import { failureSentence, type FieldError } from '../../api/answer.ts'
import { createSetupApi, type Difference } from '../../api/setup-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { pointerWords } from '../../models/settings-edits.ts'
import { Field } from '../field.tsx'
import { Trouble, Waiting } from '../states.tsx'

/** The whole of the settings as one YAML text: what no form shows stands here too. */
export function SettingsFile({ app }: { app: AppModel }) {
  const { file } = app.settings
  useEffect(() => {
    if (file.value === null) void app.settings.loadFile()
  }, [file.value])
  const [said, setSaid] = useState('')
  if (file.value === null) return <Waiting />
  return (
    <>
      {/* What is saved begins the editor anew; what was said of it stays. */}
      <Editor key={file.value} app={app} text={file.value} say={setSaid} />
      <p class="announcement" role="status" aria-live="polite">
        {said}
      </p>
    </>
  )
}

interface Preview {
  readonly text: string
  readonly version: string
  readonly differences: readonly Difference[]
}

/** What was found wrong with a text, or what it would change; nothing is applied before that was seen. */
function useChecked(app: AppModel, say: (text: string) => void) {
  const api = createSetupApi(app)
  const [errors, setErrors] = useState<readonly FieldError[]>([])
  const [trouble, setTrouble] = useState('')
  const [preview, setPreview] = useState<Preview | null>(null)
  const fail = (failure: Parameters<typeof failureSentence>[0] & { errors: readonly FieldError[] }): void => {
    setErrors(failure.errors)
    setTrouble(failureSentence(failure))
    setPreview(null)
  }
  const clear = (): void => {
    setErrors([])
    setTrouble('')
    setPreview(null)
    say('')
  }
  return {
    errors,
    trouble,
    preview,
    clear,
    check: async (text: string): Promise<void> => {
      clear()
      const answer = await api.preview(text)
      if (answer.ok) setPreview({ text, ...answer.value })
      else fail(answer.failure)
    },
    apply: async ({ text, version }: Preview, why: string): Promise<void> => {
      const answer = await api.applyFile(text, { ifMatch: version, why })
      if (!answer.ok) return fail(answer.failure)
      setPreview(null)
      app.settings.discard()
      await app.settings.load()
      await app.settings.loadFile()
      say('Saved. The monitor judges by these settings from now on.')
    },
  }
}

function Editor({ app, text, say }: { app: AppModel; text: string; say: (text: string) => void }) {
  const [typed, setTyped] = useState(text)
  const area = useRef<HTMLTextAreaElement>(null)
  const { errors, trouble, preview, clear, check, apply } = useChecked(app, say)
  const readOnly = !app.session.may('changeSettings')
  const type = (next: string): void => {
    setTyped(next)
    clear()
  }
  return (
    <form
      class="settings-file"
      onSubmit={(event) => {
        event.preventDefault()
        void check(typed)
      }}
    >
      <label for="settings-text">
        The settings as YAML. A copy sets up another monitor the same way. No secret stands in it.
      </label>
      <textarea
        id="settings-text"
        ref={area}
        rows={22}
        spellcheck={false}
        autocapitalize="off"
        readOnly={readOnly}
        value={typed}
        aria-invalid={errors.length > 0}
        aria-describedby="settings-faults"
        onInput={(event) => type(event.currentTarget.value)}
      />
      {trouble !== '' && <Trouble text={trouble} />}
      <ul class="faults" id="settings-faults">
        {errors.map(({ pointer, detail }) => (
          <li key={`${pointer} ${detail}`}>
            {pointer === '' ? detail : `${pointerWords(pointer)}: ${detail}`}{' '}
            <GoToLine detail={detail} area={area.current} />
          </li>
        ))}
      </ul>
      {preview ? (
        <PreviewPart preview={preview} apply={apply} leave={clear} />
      ) : (
        <>
          <p class="buttons">
            {!readOnly && (
              <button type="submit" class="do do-calm" disabled={typed === text}>
                Show what would change
              </button>
            )}
            {!readOnly && typed !== text && (
              <button type="button" class="plain" onClick={() => type(text)}>
                Back to what is saved
              </button>
            )}
            <button type="button" class="plain strong" onClick={() => download(text)}>
              Download the file
            </button>
          </p>
          {!readOnly && <Upload take={type} />}
        </>
      )}
    </form>
  )
}

/** The differences in words, and the one button that applies them. */
function PreviewPart({
  preview,
  apply,
  leave,
}: {
  preview: Preview
  apply: (preview: Preview, why: string) => Promise<void>
  leave: () => void
}) {
  const [why, setWhy] = useState('')
  const heading = useRef<HTMLHeadingElement>(null)
  useEffect(() => heading.current?.focus(), [])
  const { differences } = preview
  return (
    <section aria-labelledby="would-change">
      <h2 id="would-change" tabIndex={-1} ref={heading}>
        {differences.length === 0 ? 'Nothing would change' : 'This would change'}
      </h2>
      <ul class="differences">
        {differences.map(({ path, text }) => (
          <li key={`${path} ${text}`}>{text}</li>
        ))}
      </ul>
      {differences.length > 0 && (
        <Field label="Why, for the record (you may leave it empty)" id="file-why">
          <input
            id="file-why"
            maxLength={2000}
            value={why}
            onInput={(event) => setWhy(event.currentTarget.value)}
          />
        </Field>
      )}
      <p class="buttons">
        {differences.length > 0 && (
          <button type="button" class="do do-calm" onClick={() => void apply(preview, why)}>
            Change it so
          </button>
        )}
        <button type="button" class="plain" onClick={leave}>
          Leave it as it is
        </button>
      </p>
    </section>
  )
}

function Upload({ take }: { take: (text: string) => void }) {
  return (
    <Field label="Or take the text from a file" id="settings-upload">
      <input
        id="settings-upload"
        type="file"
        accept=".yaml,.yml,application/yaml"
        onChange={(event) => {
          const file = event.currentTarget.files?.[0]
          if (file) void file.text().then(take)
        }}
      />
    </Field>
  )
}

function download(text: string): void {
  const address = URL.createObjectURL(new Blob([text], { type: 'application/yaml' }))
  const link = document.createElement('a')
  link.href = address
  link.download = 'nightcap-settings.yaml'
  link.click()
  URL.revokeObjectURL(address)
}

/** The monitor names the line of a fault: one press marks it in the text. */
function GoToLine({ detail, area }: { detail: string; area: HTMLTextAreaElement | null }) {
  const line = Number(/^line (\d+):/.exec(detail)?.[1] ?? Number.NaN)
  if (!area || !Number.isFinite(line)) return null
  const go = (): void => {
    const lines = area.value.split('\n')
    const start = lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0)
    area.focus()
    area.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0))
  }
  return (
    <button type="button" class="plain strong" onClick={go}>
      {`Show line ${line}`}
    </button>
  )
}

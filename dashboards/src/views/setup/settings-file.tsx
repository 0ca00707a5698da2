import { useEffect, useRef, useState } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { pointerWords } from '../../models/settings-edits.ts'
import { Waiting } from '../states.tsx'

/** The whole of the settings as one YAML text: what no form shows stands here too. */
export function SettingsFile({ app }: { app: AppModel }) {
  const { file } = app.settings
  useEffect(() => {
    if (file.value === null) void app.settings.loadFile()
  }, [file.value])
  if (file.value === null) return <Waiting />
  return <Editor app={app} text={file.value} />
}

function Editor({ app, text }: { app: AppModel; text: string }) {
  const [typed, setTyped] = useState(text)
  const area = useRef<HTMLTextAreaElement>(null)
  const { errors, busy, saveFile } = app.settings
  const readOnly = !app.session.may('changeSettings')
  return (
    <form
      class="settings-file"
      onSubmit={(event) => {
        event.preventDefault()
        void saveFile(typed)
      }}
    >
      <label for="settings-text">
        The settings as YAML. Keep a copy: it sets up another monitor the same way.
      </label>
      <textarea
        id="settings-text"
        ref={area}
        rows={26}
        spellcheck={false}
        autocapitalize="off"
        readOnly={readOnly}
        value={typed}
        aria-invalid={errors.value.length > 0}
        aria-describedby="settings-faults"
        onInput={(event) => setTyped(event.currentTarget.value)}
      />
      <ul class="faults" id="settings-faults">
        {errors.value.map(({ pointer, detail }) => (
          <li>
            {pointer === '' ? detail : `${pointerWords(pointer)}: ${detail}`}{' '}
            <GoToLine detail={detail} area={area.current} />
          </li>
        ))}
      </ul>
      {!readOnly && (
        <p class="buttons">
          <button type="submit" class="do do-calm" disabled={busy.value || typed === text}>
            Save the file
          </button>
          {typed !== text && (
            <button type="button" class="plain" onClick={() => setTyped(text)}>
              Back to what is saved
            </button>
          )}
        </p>
      )}
    </form>
  )
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

import { create } from 'qrcode/lib/core/qrcode.js'
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import type { AppModel } from '../../../models/app-model.ts'
import type { ShownCode } from '../../../models/people-model.ts'
import { isThisComputerOnly, linkOf, QUIET_ZONE, qrPath } from '../../../phone/qr-path.ts'

const CHECK_EVERY_MS = 2000

/** A code that signs one phone in, once. It goes from the screen when it was used or its time is over. */
export function CodeToScan({ app, code }: { app: AppModel; code: ShownCode }) {
  const heading = useRef<HTMLHeadingElement>(null)
  const [leftMs, setLeft] = useState(() => code.endsMs - Date.now())
  const publicUrl = app.telling.view.value?.publicUrl ?? null
  const link = linkOf(code.path, { publicUrl, origin: location.origin })
  const modules = useMemo(() => create(link, { errorCorrectionLevel: 'M' }).modules, [link])
  useEffect(() => {
    heading.current?.focus()
    if (app.session.may('manageTelling')) void app.telling.load()
    const count = setInterval(() => setLeft(code.endsMs - Date.now()), 1000)
    const check = setInterval(() => void app.people.checkCode(), CHECK_EVERY_MS)
    return () => {
      clearInterval(count)
      clearInterval(check)
    }
  }, [code])
  const size = modules.size + 2 * QUIET_ZONE
  const name = code.person.name
  return (
    <section class="scan" aria-labelledby="scan-title">
      <h3 id="scan-title" ref={heading} tabIndex={-1}>{`Scan this with the phone of ${name}`}</h3>
      {isThisComputerOnly(link) ? (
        <p class="fault">
          This address leads to this computer alone, so a phone cannot open it. Open Nightcap by the name that
          the phone will use, over https, and show the code there.
        </p>
      ) : (
        <svg
          class="scan-code"
          viewBox={`0 0 ${size} ${size}`}
          role="img"
          aria-label={`Code that signs ${name} in`}
        >
          <rect width={size} height={size} class="scan-paper" />
          <path d={qrPath(modules)} class="scan-ink" />
        </svg>
      )}
      <p>{`It works once, for ${name} alone. ${leftWords(leftMs)}`}</p>
      <p class="hint">Whoever scans it comes in as {name}: show it to nobody else.</p>
      <button type="button" class="plain strong" onClick={app.people.putCodeAway}>
        Put it away
      </button>
    </section>
  )
}

function leftWords(leftMs: number): string {
  const seconds = Math.max(0, Math.ceil(leftMs / 1000))
  return `It works for ${Math.floor(seconds / 60)} min ${seconds % 60} s more.`
}

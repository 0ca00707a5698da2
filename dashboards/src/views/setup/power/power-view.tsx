import { useEffect, useState } from 'preact/hooks'
import type { Machine } from '../../../../../services/core/model/settings.ts'
import { failureSentence } from '../../../api/answer.ts'
import { createSetupApi, type PowerPicture } from '../../../api/setup-api.ts'
import type { AppModel } from '../../../models/app-model.ts'
import { bandLines, FROM_WORDS, waitingWords } from '../../../words/band-words.ts'
import { Announcement, Trouble, Waiting } from '../../states.tsx'
import { BandsForm } from './bands-form.tsx'
import { PowerDrawing } from './power-drawing.tsx'

/** How each machine's power is told apart: as learned, waiting to be accepted, or told by hand. */
export function PowerView({ app }: { app: AppModel }) {
  const settings = app.settings.saved.value
  if (!settings) return <Waiting />
  if (settings.machines.length === 0) return <p class="hint">Add a machine first, under All settings.</p>
  return (
    <>
      <p class="hint">
        A meter in the machine's supply tells what it does by what it draws. Nightcap learns these bands from
        about two weeks; what you correct by hand holds until you give it back.
      </p>
      {settings.machines.map((machine) => (
        <MachinePower key={machine.id} app={app} machine={machine} />
      ))}
    </>
  )
}

function MachinePower({ app, machine }: { app: AppModel; machine: Machine }) {
  const api = createSetupApi(app)
  const [seen, setSeen] = useState<PowerPicture | null>(null)
  const [trouble, setTrouble] = useState('')
  const [said, setSaid] = useState('')
  const saved = app.settings.saved.value
  const load = async (): Promise<void> => {
    const answer = await api.power(machine.id)
    if (answer.ok) setSeen(answer.value)
    setTrouble(answer.ok ? '' : failureSentence(answer.failure))
  }
  useEffect(() => void load(), [saved])
  const accept = async (): Promise<void> => {
    const answer = await api.acceptBands(machine.id)
    setSaid(answer.ok ? 'Accepted. These bands hold from now on.' : '')
    setTrouble(answer.ok ? '' : failureSentence(answer.failure))
    if (answer.ok) await load()
  }
  return (
    <section class="power-part" aria-labelledby={`power-${machine.id}`}>
      <h2 id={`power-${machine.id}`}>{machine.title}</h2>
      {trouble !== '' && <Trouble text={trouble} retry={() => void load()} />}
      {seen && (
        <>
          {seen.inForce.meterId === null ? (
            <p>No meter belongs to it, so only on and off can be told, and only by a contact.</p>
          ) : (
            <PowerDrawing seen={seen} title={machine.title} />
          )}
          <p class="evidence">{FROM_WORDS[seen.inForce.from]}</p>
          <ul class="picture-bands">
            {bandLines(seen.inForce).map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
          {seen.waiting && (
            <div class="allow">
              <p>{waitingWords(seen.waiting, seen.inForce)}</p>
              {app.session.may('acceptLearned') && (
                <p class="buttons">
                  <button type="button" class="do do-calm" onClick={() => void accept()}>
                    Accept what was learned
                  </button>
                </p>
              )}
            </div>
          )}
          {app.session.may('changeSettings') && <BandsForm app={app} machine={machine} seen={seen} />}
        </>
      )}
      <Announcement text={said} />
    </section>
  )
}

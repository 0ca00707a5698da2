import { useEffect } from 'preact/hooks'
import type { AppModel } from '../../models/app-model.ts'
import { hashOf, type Route } from '../../models/route.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { AddEntry } from './add-entry.tsx'
import { Feed } from './feed.tsx'
import { ImportPart } from './import-part.tsx'
import { WasteView } from './waste-view.tsx'

type Part = Extract<Route, { page: 'logbook' }>['part']
const PARTS: readonly { readonly part: Part; readonly label: string }[] = [
  { part: 'all', label: 'What was written down' },
  { part: 'waste', label: 'Waste that left' },
  { part: 'import', label: 'From a file' },
]

/** What people wrote down: checks, cleanings, notes, new heads, waste. */
export default function LogbookView({ app, part }: { app: AppModel; part: Part }) {
  const mayImport = app.session.may('importLogbook')
  return (
    <>
      <nav aria-label="Parts of the logbook">
        <ul class="parts-ways">
          {PARTS.filter((p) => p.part !== 'import' || mayImport).map((p) => (
            <li key={p.part}>
              <a
                href={hashOf({ page: 'logbook', part: p.part })}
                aria-current={p.part === part ? 'page' : undefined}
              >
                {p.label}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      {part === 'waste' ? <WasteView app={app} /> : <Written app={app} part={part} />}
    </>
  )
}

function Written({ app, part }: { app: AppModel; part: Part }) {
  const { feed, trouble, announcement } = app.log
  useEffect(() => {
    app.log.hush()
    void app.log.load()
  }, [])
  const site = app.board.board.value?.site
  // Days are the shop's own: without the shop's clock there is no today to write on.
  if (!feed.value || !site) return trouble.value ? <Trouble text={trouble.value} /> : <Waiting />
  const shown = { app, feed: feed.value, unit: site.volumeUnit, timeZone: site.timeZone }
  return (
    <div class="page-column logbook">
      <h1 class="statement" id="logbook-title" tabIndex={-1}>
        {part === 'import' ? 'From a file into the logbook' : 'Logbook'}
      </h1>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {part === 'import' ? (
        <ImportPart {...shown} />
      ) : (
        <>
          <AddEntry {...shown} />
          <Feed {...shown} />
        </>
      )}
    </div>
  )
}

import type { ComponentType } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { heardMsOf } from '../phone/kept-answers.ts'
import { Trouble, Waiting } from './states.tsx'

type Failed = 'noLine' | 'otherRelease'

/** A page that is fetched when it is first opened, so that the board comes up as fast without it. */
export function lazy<Props extends object>(load: () => Promise<ComponentType<Props>>): ComponentType<Props> {
  let known: ComponentType<Props> | null = null
  return function Lazy(props: Props) {
    const [Page, setPage] = useState<{ readonly view: ComponentType<Props> } | null>(known && { view: known })
    const [failed, setFailed] = useState<Failed | null>(null)
    const fetchIt = (): void => {
      setFailed(null)
      load().then(
        (view) => {
          known = view
          setPage({ view })
        },
        () => void whyNot().then(setFailed),
      )
    }
    useEffect(() => {
      if (!Page) fetchIt()
    }, [])
    if (Page) return <Page.view {...props} />
    if (failed === null) return <Waiting />
    return failed === 'noLine' ? (
      <Trouble text="This page did not come. Check the network, then try again." retry={fetchIt} />
    ) : (
      <Trouble
        text="Nightcap was renewed while it was open here. Load it again to go on."
        retry={() => location.reload()}
        retryWord="Reload"
      />
    )
  }
}

/** The monitor answers, and still the page's file did not come: it belongs to a release that is gone. */
async function whyNot(): Promise<Failed> {
  try {
    const { ok, headers } = await fetch('/api/v1/session', { cache: 'no-store' })
    // Without a line the device answers by itself with what it kept.
    return ok && heardMsOf(headers) === null ? 'otherRelease' : 'noLine'
  } catch {
    return 'noLine'
  }
}

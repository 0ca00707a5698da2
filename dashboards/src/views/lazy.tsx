import type { ComponentType } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { Trouble, Waiting } from './states.tsx'

/** A page that is fetched when it is first opened, so that the board comes up as fast without it. */
export function lazy<Props extends object>(load: () => Promise<ComponentType<Props>>): ComponentType<Props> {
  let known: ComponentType<Props> | null = null
  return function Lazy(props: Props) {
    const [Page, setPage] = useState<{ readonly view: ComponentType<Props> } | null>(known && { view: known })
    const [failed, setFailed] = useState(false)
    const fetchIt = (): void => {
      setFailed(false)
      load().then(
        (view) => {
          known = view
          setPage({ view })
        },
        () => setFailed(true),
      )
    }
    useEffect(() => {
      if (!Page) fetchIt()
    }, [])
    if (Page) return <Page.view {...props} />
    return failed ? (
      <Trouble text="This page did not come. Check the network, then try again." retry={fetchIt} />
    ) : (
      <Waiting />
    )
  }
}

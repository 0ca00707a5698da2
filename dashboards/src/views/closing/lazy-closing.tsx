import { useEffect, useState } from 'preact/hooks'
import type { FunctionComponent } from 'preact'
import type { AppModel } from '../../models/app-model.ts'
import { Trouble, Waiting } from '../states.tsx'

type View = FunctionComponent<{ app: AppModel }>

/** Loaded when it is opened, so that the board comes up as fast as before. */
export function LazyClosing({ app }: { app: AppModel }) {
  const [view, setView] = useState<{ View: View } | null>(null)
  const [failed, setFailed] = useState(false)
  const load = (): void => {
    setFailed(false)
    import('./closing-view.tsx').then(
      ({ ClosingView }) => setView({ View: ClosingView }),
      () => setFailed(true),
    )
  }
  useEffect(load, [])
  if (failed)
    return <Trouble text="The page could not be loaded. Check the network, then try again." retry={load} />
  return view ? <view.View app={app} /> : <Waiting />
}

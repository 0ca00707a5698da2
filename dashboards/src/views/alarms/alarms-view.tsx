import { useEffect } from 'preact/hooks'
import type { AlarmView } from '../../api/shop-api.ts'
import type { AppModel } from '../../models/app-model.ts'
import { countText } from '../../words/quantity-text.ts'
import { Announcement, Trouble, Waiting } from '../states.tsx'
import { AlarmItem } from './alarm-item.tsx'
import { MeasuresPart } from './measures-part.tsx'

/** All alarms that are not normal, and how calm the alarms are as a whole. */
export function AlarmsView({ app }: { app: AppModel }) {
  const { groups, measures, trouble, announcement } = app.alarms
  useEffect(() => void app.alarms.load(), [])
  if (!groups.value) {
    return trouble.value ? <Trouble text={trouble.value} retry={() => void app.alarms.load()} /> : <Waiting />
  }
  const { asking, over, setAside } = groups.value
  return (
    <>
      <h1 class="statement" id="alarms-title" tabIndex={-1}>
        {asking.length === 0
          ? 'No alarm asks for anybody.'
          : `${countText(asking.length, 'alarm holds', 'alarms hold')} now.`}
      </h1>
      <Announcement text={announcement.value} />
      {trouble.value && <Trouble text={trouble.value} />}
      {asking.length > 0 && (
        <ol class="tasks">
          {asking.map((alarm) => (
            <AlarmItem key={alarm.id} app={app} alarm={alarm} />
          ))}
        </ol>
      )}
      <Group app={app} id="alarms-over" title="Over, not yet seen" alarms={over} />
      <Group app={app} id="alarms-aside" title="Set aside" alarms={setAside} />
      {measures.value && <MeasuresPart measures={measures.value} />}
    </>
  )
}

interface GroupProps {
  readonly app: AppModel
  readonly id: string
  readonly title: string
  readonly alarms: readonly AlarmView[]
}

function Group({ app, id, title, alarms }: GroupProps) {
  if (alarms.length === 0) return null
  return (
    <section aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ol>
        {alarms.map((alarm) => (
          <AlarmItem key={alarm.id} app={app} alarm={alarm} />
        ))}
      </ol>
    </section>
  )
}

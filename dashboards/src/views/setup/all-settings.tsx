import type { AppModel } from '../../models/app-model.ts'
import { BottlesForm } from './bottles-form.tsx'
import { HoursForm } from './hours-form.tsx'
import { SettingsForm } from './settings-form.tsx'
import { ShopForm } from './shop-form.tsx'
import { MachinesForm, RoomsForm } from './things-form.tsx'
import { WorkForms } from './work-forms.tsx'

/** All that is set up about the shop and its work, in one form. */
export function AllSettings({ app }: { app: AppModel }) {
  return (
    <SettingsForm app={app}>
      {(part) => (
        <>
          <ShopForm {...part} />
          <HoursForm {...part} />
          <RoomsForm {...part} />
          <MachinesForm {...part} />
          <BottlesForm {...part} />
          <WorkForms app={app} part={part} />
        </>
      )}
    </SettingsForm>
  )
}

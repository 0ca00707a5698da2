import type { AppModel } from '../../models/app-model.ts'
import { CalendarsPart } from './calendars-part.tsx'
import { ClosingStepsForm } from './closing-steps-form.tsx'
import type { FormPart } from './form-parts.ts'
import { RoutinesForm } from './routines-form.tsx'

/** What is set up about work. */
export function WorkForms({ app, part }: { app: AppModel; part: FormPart }) {
  return (
    <>
      <RoutinesForm app={app} part={part} />
      <ClosingStepsForm {...part} />
      {app.session.may('manageCalendars') && <CalendarsPart app={app} />}
    </>
  )
}

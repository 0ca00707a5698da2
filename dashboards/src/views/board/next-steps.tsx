import type { AppModel } from '../../models/app-model.ts'
import { nextStepLinks } from '../../words/next-step-links.ts'

/** What a new shop does next, each step with the way to it. */
export function NextSteps({ app, steps }: { app: AppModel; steps: readonly string[] }) {
  if (steps.length === 0) return null
  return (
    <section class="next-steps" aria-labelledby="next-steps">
      <h2 id="next-steps">Next</h2>
      <ol>
        {nextStepLinks(steps).map(({ text, href, label, permission }) => (
          <li key={text}>
            {text} {permission && app.session.may(permission) && <a href={href}>{label}</a>}
          </li>
        ))}
      </ol>
    </section>
  )
}

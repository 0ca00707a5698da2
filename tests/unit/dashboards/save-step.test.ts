import { expect, it } from 'vitest'
import type { Answer } from '../../../dashboards/src/api/answer.ts'
import { createSettingsModel } from '../../../dashboards/src/models/settings-model.ts'
import { withRoom } from '../../../dashboards/src/models/walk.ts'
import { saveStep } from '../../../dashboards/src/models/save-step.ts'
import { emptySettings, type Settings } from '../../../services/core/model/settings.ts'

/** A monitor that knows its version, and refuses what was made from another. */
function monitor(first: Settings) {
  const held = { settings: first, version: 1 }
  return {
    held,
    put: (settings: Settings): void => void Object.assign(held, { settings, version: held.version + 1 }),
    api: {
      settings: async (): Promise<Answer<Settings>> => ({
        ok: true,
        value: held.settings,
        version: `"${held.version}"`,
      }),
      putSettings: async (
        settings: Settings,
        { ifMatch }: { ifMatch?: string | undefined },
      ): Promise<Answer<unknown>> => {
        if (ifMatch !== `"${held.version}"`)
          return {
            ok: false,
            failure: {
              kind: 'refused',
              status: 412,
              title: 'Someone else was first',
              detail: '',
              errors: [],
            },
          }
        Object.assign(held, { settings, version: held.version + 1 })
        return { ok: true, value: null }
      },
      settingsYaml: async (): Promise<Answer<string>> => ({ ok: true, value: '' }),
    },
  }
}

it('a step of the walk that came second is refused, and sent again takes back nothing of what was first', async () => {
  const { held, put, api } = monitor(emptySettings())
  const settings = createSettingsModel(api)
  await settings.load()
  put({ ...held.settings, site: { ...held.settings.site, title: 'Named by somebody else' } })
  const step = (): Promise<boolean> =>
    saveStep({ settings }, (s) => withRoom(s, { title: 'Print floor', volumeM3: null }))
  expect(await step()).toBe(false)
  expect(await step()).toBe(true)
  expect(held.settings.site.title).toBe('Named by somebody else')
  expect(held.settings.rooms.map((r) => r.title)).toEqual(['Print floor'])
})

import type { Settings } from '../../../services/core/model/settings.ts'
import type { SettingsModel } from './settings-model.ts'

/**
 * Saves a step at once. The change is made from what the monitor has by what was heard last, so that a step that was
 * refused and is sent again adds its thing once, and takes back nothing that somebody else saved meanwhile.
 */
export async function saveStep(
  app: { readonly settings: SettingsModel },
  edit: (settings: Settings) => Settings,
  goOn?: () => void,
): Promise<boolean> {
  app.settings.discard()
  if (!app.settings.saved.peek()) return false
  app.settings.change(edit)
  const ok = await app.settings.save()
  if (ok) goOn?.()
  return ok
}

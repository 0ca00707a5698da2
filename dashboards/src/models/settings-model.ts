import { computed, signal, type ReadonlySignal } from '@preact/signals'
import type { Settings } from '../../../services/core/model/settings.ts'
import { failureSentence, type Answer, type FieldError } from '../api/answer.ts'
import type { ShopApi } from '../api/shop-api.ts'

export interface SettingsModel {
  /** As the monitor has them; null until they came. */
  readonly saved: ReadonlySignal<Settings | null>
  /** As they stand in the forms. */
  readonly draft: ReadonlySignal<Settings | null>
  readonly isChanged: ReadonlySignal<boolean>
  /** Someone else saved other settings while these were being changed. */
  readonly isOvertaken: ReadonlySignal<boolean>
  readonly errors: ReadonlySignal<readonly FieldError[]>
  readonly trouble: ReadonlySignal<string>
  readonly announcement: ReadonlySignal<string>
  readonly busy: ReadonlySignal<boolean>
  /** The whole as a YAML text; null until asked for. */
  readonly file: ReadonlySignal<string | null>
  readonly load: () => Promise<void>
  readonly loadFile: () => Promise<void>
  readonly change: (edit: (settings: Settings) => Settings) => void
  readonly discard: () => void
  /** Saves what stands in the forms, with a reason for the record; refused where somebody else was first. */
  readonly save: (why?: string) => Promise<boolean>
  readonly forget: () => void
}

type SettingsApi = Pick<ShopApi, 'settings' | 'putSettings' | 'settingsYaml'>
const OVERTAKEN = 412

export function createSettingsModel(api: SettingsApi): SettingsModel {
  const saved = signal<Settings | null>(null)
  const draft = signal<Settings | null>(null)
  const newer = signal<Settings | null>(null)
  const errors = signal<readonly FieldError[]>([])
  const trouble = signal('')
  const announcement = signal('')
  const busy = signal(false)
  const file = signal<string | null>(null)
  const isChanged = computed(() => JSON.stringify(saved.value) !== JSON.stringify(draft.value))

  // Which settings the forms began with, and which the monitor has by what we heard last.
  let savedVersion: string | undefined
  let newerVersion: string | undefined

  const adopt = (settings: Settings): void => {
    saved.value = draft.value = settings
    newer.value = null
    errors.value = []
    trouble.value = ''
  }
  const load = async (): Promise<void> => {
    const answer = await api.settings()
    if (!answer.ok) {
      trouble.value = failureSentence(answer.failure)
      return
    }
    newerVersion = answer.version
    if (!isChanged.value) {
      adopt(answer.value)
      savedVersion = answer.version
    } else if (JSON.stringify(answer.value) !== JSON.stringify(saved.value)) newer.value = answer.value
  }
  const send = async (asking: Promise<Answer<unknown>>): Promise<boolean> => {
    busy.value = true
    const answer = await asking
    busy.value = false
    errors.value = answer.ok ? [] : answer.failure.errors
    trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    announcement.value = answer.ok ? 'Saved. The monitor judges by these settings from now on.' : ''
    if (!answer.ok && answer.failure.status === OVERTAKEN) await load()
    return answer.ok
  }
  return {
    saved,
    draft,
    isChanged,
    isOvertaken: computed(() => newer.value !== null),
    errors,
    trouble,
    announcement,
    busy,
    file,
    load,
    loadFile: async () => {
      const answer = await api.settingsYaml()
      if (answer.ok) file.value = answer.value
      trouble.value = answer.ok ? '' : failureSentence(answer.failure)
    },
    change: (edit) => {
      if (draft.value) draft.value = edit(draft.value)
      announcement.value = ''
    },
    discard: () => {
      const settings = newer.value ?? saved.value
      if (newer.value) savedVersion = newerVersion
      if (settings) adopt(settings)
    },
    save: async (why) => {
      const sent = draft.value
      if (!sent) return false
      // Who saved over newer settings was shown that they are there.
      const ifMatch = newer.value ? newerVersion : savedVersion
      if (!(await send(api.putSettings(sent, { ifMatch, why })))) return false
      saved.value = sent
      newer.value = null
      file.value = null
      // The monitor may have filled in what was left out.
      await load()
      return true
    },
    forget: () => {
      saved.value = draft.value = newer.value = null
      savedVersion = newerVersion = undefined
      file.value = null
      errors.value = []
      trouble.value = announcement.value = ''
    },
  }
}

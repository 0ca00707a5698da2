import type { Permission } from '../../../services/core/model/permissions.ts'

export interface NextStepLink {
  readonly text: string
  readonly href: string
  readonly label: string
  /** What it takes to go there; null when the step names no page. */
  readonly permission: Permission | null
}

/** Each step names the page it is done on, as Setup or Morning: the link goes to the page it names. */
export function nextStepLinks(steps: readonly string[]): readonly NextStepLink[] {
  return steps.map((text) => {
    if (/\bStep by step\b/.test(text))
      return { text, href: '#/setup/walk', label: 'Set it up', permission: 'changeSettings' }
    if (/\bSetup\b/.test(text))
      return { text, href: '#/setup', label: 'Open Setup', permission: 'seeSettings' }
    if (/\bSensors\b/.test(text))
      return { text, href: '#/sensors', label: 'Open Sensors', permission: 'seeSensors' }
    if (/\bMorning\b/.test(text))
      return { text, href: '#/morning', label: 'Open Morning', permission: 'seeTasks' }
    if (/\bClosing\b/.test(text))
      return { text, href: '#/closing', label: 'Open Closing', permission: 'seeTasks' }
    return { text, href: '#/', label: '', permission: null }
  })
}

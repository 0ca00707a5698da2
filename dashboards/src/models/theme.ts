import { computed, signal, type ReadonlySignal } from '@preact/signals'

export const THEME_CHOICES = ['device', 'light', 'dark'] as const
export type ThemeChoice = (typeof THEME_CHOICES)[number]

export interface ThemeModel {
  readonly choice: ReadonlySignal<ThemeChoice>
  readonly shown: ReadonlySignal<'light' | 'dark'>
  readonly choose: (choice: ThemeChoice) => void
  readonly deviceIsDark: (isDark: boolean) => void
}

export interface ThemeMemory {
  readonly read: () => string | null
  readonly write: (choice: ThemeChoice) => void
}

export function createThemeModel(memory: ThemeMemory, deviceIsDark: boolean): ThemeModel {
  const kept = memory.read()
  const choice = signal<ThemeChoice>(THEME_CHOICES.find((c) => c === kept) ?? 'device')
  const device = signal(deviceIsDark)
  return {
    choice,
    shown: computed(() => {
      if (choice.value !== 'device') return choice.value
      return device.value ? 'dark' : 'light'
    }),
    choose: (next) => {
      choice.value = next
      memory.write(next)
    },
    deviceIsDark: (isDark) => {
      device.value = isDark
    },
  }
}

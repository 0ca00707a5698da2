import { humidityText, temperatureText } from '../measured-text.ts'
import type { ReasonMaterial, ReasonsOf } from '../reason.ts'

/** Air of a room. Ranges are common practice, no source. */
export const airReasons: ReasonsOf<'airDry' | 'airVeryDry' | 'airDamp' | 'roomCold' | 'roomWarm'> = {
  airDry: (material) => ({
    title: `The air in ${material.title} is too dry`,
    cause: humidityCause(material, 'below', material.settings.limits.airDryPct.openBelow),
    consequence: 'Water-based ink dries at the nozzles, white ink first. Nozzles go missing, some for good.',
    action: 'Bring the humidity back to 40 to 60 %RH: fill and start the humidifier, shut doors and windows.',
    timeToAct: material.night
      ? 'Before opening. If it cannot be helped by then, begin the day with a cleaning and a nozzle check.'
      : 'Before closing, so that the heads do not stand in it through the night.',
  }),
  airVeryDry: (material) => ({
    title: `The air in ${material.title} is very dry`,
    cause: humidityCause(material, 'below', material.settings.limits.airVeryDryPct.openBelow),
    consequence:
      'Ink dries quickly at the nozzles, and a cap that seals badly no longer protects it. Nozzles go missing, some for good.',
    action:
      'Start every humidifier there is, and find what dries the room: a heater, a fan, an open door, an empty tank.',
    timeToAct: material.night
      ? 'Before opening, and before the first print: clean the heads and check the nozzles first.'
      : 'Within the hour if you can, and at the latest before closing.',
  }),
  airDamp: (material) => ({
    title: `The air in ${material.title} is too damp`,
    cause: humidityCause(material, 'above', material.settings.limits.airDampPct.openAbove),
    consequence:
      'Film and powder take up moisture: ink dries slowly on the film, and transfers may not hold.',
    action: 'Turn the humidifier down or off, dry or air the room, and close up film and powder.',
    timeToAct: material.night ? 'Before the first print of the day.' : 'Today, before the next long job.',
  }),
  roomCold: (material) => ({
    title: `It is too cold in ${material.title}`,
    cause: temperatureCause(material, 'below', material.settings.limits.roomColdC.openBelow),
    consequence: 'Cold ink runs thick: drops go astray and nozzles drop out. Ink that has frozen is spoilt.',
    action: `Warm the room slowly to about ${temperatureText(20, material.settings.site)}, and watch the humidity, since heating dries the air.`,
    timeToAct: material.night
      ? 'Before opening: machines and ink need some hours to warm through.'
      : 'Today, before the next print.',
  }),
  roomWarm: (material) => ({
    title: `It is too warm in ${material.title}`,
    cause: temperatureCause(material, 'above', material.settings.limits.roomWarmC.openAbove),
    consequence: 'Warm air takes up more water, so ink dries sooner at the nozzles. Powder may clump.',
    action:
      'Shade, air or cool the room, without a draught across the machines, and see that their fans are free.',
    timeToAct: material.night ? 'Before the first print of the day.' : 'Today, before closing.',
  }),
}

function humidityCause({ value, since }: ReasonMaterial, side: 'below' | 'above', limitPct: number): string {
  const stays = `been ${side} ${humidityText(limitPct)} since ${since}.`
  if (value === null) return `Humidity has ${stays}`
  return `Humidity ${side === 'below' ? 'fell' : 'rose'} to ${humidityText(value)}; it has ${stays}`
}

function temperatureCause(
  { value, since, settings: { site } }: ReasonMaterial,
  side: 'below' | 'above',
  limitC: number,
): string {
  const stays = `been ${side} ${temperatureText(limitC, site)} since ${since}.`
  if (value === null) return `The temperature has ${stays}`
  return `The temperature ${side === 'below' ? 'fell' : 'rose'} to ${temperatureText(value, site)}; it has ${stays}`
}

import type { ClosingView, NotReady } from '../model/closing.ts'
import { dayStartMs, ofThisDay } from './closing-day.ts'
import { closingForecast } from './closing-forecast.ts'
import type { ClosingMaterial } from './closing-material.ts'
import { isMachineSetAside, stepView, type StepOfMachine } from './closing-steps.ts'
import { notReadyOf, verdictSentence } from './closing-verdict.ts'

type Group = Omit<ClosingView['groups'][number], 'steps'> & { readonly steps: readonly StepOfMachine[] }

/** The closing list as it stands. Pure: the same material gives the same list. */
export function closingView(material: ClosingMaterial): ClosingView {
  const { nowMs, settings, calendar } = material
  const { day, dayMs, groups, notReady, troubles, settled, required } = judged(material)
  return {
    nowMs,
    dayMs,
    timeZone: settings.site.timeZone,
    verdict: {
      ready: notReady.length === 0,
      sentence: verdictSentence({ left: required - settled, troubles }),
      notReady: [...notReady],
    },
    settled,
    required,
    groups: groups.map(({ steps, ...group }) => ({ ...group, steps: steps.map((s) => s.step) })),
    forecast:
      calendar.nextOpeningAfter(nowMs) === null && settings.machines.length === 0
        ? []
        : closingForecast(material),
    begun: day.begun && { actorId: day.begun.actorId, atMs: day.begun.atMs },
    finished: day.finished && {
      actorId: day.finished.act.actorId,
      atMs: day.finished.act.atMs,
      ready: day.finished.ready,
      notReady: day.finished.notReady,
    },
  }
}

/** What is not ready now; empty: ready for the night. */
export function closingNotReady(material: ClosingMaterial): readonly NotReady[] {
  return judged(material).notReady
}

function judged(material: ClosingMaterial) {
  const dayMs = dayStartMs(material.calendar, material.nowMs)
  const day = ofThisDay(material.closing, dayMs)
  const groups = groupsOf(material, day)
  const steps = groups.filter((g) => !g.outOfService).flatMap((g) => g.steps)
  const required = steps.filter(({ step }) => step.required)
  const inTheWay = notReadyOf(steps, material)
  return {
    day,
    dayMs,
    groups,
    notReady: [...inTheWay.steps, ...inTheWay.troubles],
    troubles: inTheWay.troubles.length,
    required: required.length,
    settled: required.filter(({ step }) => step.state === 'confirmed' || step.state === 'ticked').length,
  }
}

function groupsOf(material: ClosingMaterial, day: ClosingMaterial['closing']): Group[] {
  const { settings, machines, nowMs } = material
  const shopSteps = settings.closingSteps.filter((s) => s.on && s.of === 'shop')
  const machineSteps = settings.closingSteps.filter((s) => s.on && s.of === 'machine')
  const ofMachines = settings.machines.map((machine): Group => {
    const untilMs = machines.get(machine.id)?.facts.cap.servicedUntilMs ?? null
    return {
      machineId: machine.id,
      title: machine.title,
      outOfService: isMachineSetAside(machine.id, material),
      servicedUntilMs: untilMs !== null && untilMs > nowMs ? untilMs : null,
      steps: machineSteps.map((step) => stepView(step, machine, { material, day })),
    }
  })
  const ofShop: Group = {
    machineId: null,
    title: 'The shop',
    outOfService: false,
    servicedUntilMs: null,
    steps: shopSteps.map((step) => stepView(step, null, { material, day })),
  }
  return shopSteps.length === 0 ? ofMachines : [...ofMachines, ofShop]
}

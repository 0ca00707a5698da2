import { cleaningsVisible, powerRuleIn, powerRuleOf, type PowerRule } from './power-rule.ts'
import type { PowerFacts } from './power.ts'
import type { SubjectContext } from './tracker.ts'
import { validForMsOf } from './validity.ts'

/** How long a reading of the machine's power stands: the longest of its meter and its contact. */
export function powerValidForMs(context: SubjectContext): number {
  return Math.max(validForMsOf(context, 'power'), validForMsOf(context, 'powered'))
}

/**
 * Can the machine of this context be seen to clean itself? By how often its meter does report; before that is known, by
 * how often it promised to.
 */
export function cleaningsAreVisible({ meter }: PowerFacts, context: SubjectContext): boolean {
  const rule = powerRuleIn(context)
  const promisedMs = context.sensors.get(rule.meterId ?? '')?.intervalMs
  if (promisedMs === undefined) return false
  return cleaningsVisible(rule, meter.intervalMs > 0 ? meter.intervalMs : promisedMs)
}

const rules = new WeakMap<SubjectContext, Map<string, PowerRule>>()

/** The rule of one of the machines that a bottle's context hears; made once a context. */
export function powerRuleFor(machineId: string, context: SubjectContext): PowerRule {
  let ofContext = rules.get(context)
  if (!ofContext) rules.set(context, (ofContext = new Map<string, PowerRule>()))
  const known = ofContext.get(machineId)
  if (known) return known
  const { settings, learned, sensors } = context
  const machine = settings.machines.find((m) => m.id === machineId)
  const own = new Map(
    [...sensors].filter(([, { subject }]) => subject.kind === 'machine' && subject.id === machineId),
  )
  const rule = powerRuleOf(machine ?? { id: machineId, offBelowW: 0 }, learned, own)
  ofContext.set(machineId, rule)
  return rule
}

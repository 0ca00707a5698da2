import type { Order, Reading } from '../model/input.ts'
import type { Peer } from './in-step.ts'
import { stepTrust } from './sensor-trust.ts'
import type { HeardBinding, SubjectContext, TrackedFacts, Tracker } from './tracker.ts'
import { trustRuleOf, type TrustRule } from './trust-rule.ts'
import { initialTrust, isTrusted, type TrustState } from './trust-state.ts'

export interface TrustedFacts extends TrackedFacts {
  /** By sensor id; a sensor that was not heard yet, or whose quantity is not judged, has no entry and is believed. */
  trust: Record<string, TrustState>
}

/** Is this sensor, heard by the subject of these facts, not believed now? */
export function isDistrusted({ trust }: TrustedFacts, sensorId: string): boolean {
  const state = trust[sensorId]
  return state !== undefined && !isTrusted(state)
}

/**
 * A tracker that listens only to sensors that can be believed. Whoever hears a sensor judges it for itself, by the
 * same readings and the same rules: so a machine leaves out the same sensors as its room.
 *
 * TRUSTED-1 a reading of a sensor that is not believed, or that is impossible by itself, changes what is known of the
 *           sensor and nothing else.
 * TRUSTED-2 for the inner tracker a sensor that is not believed is not there: its context does not hold it.
 * TRUSTED-3 when a sensor is found out, `forget` takes back what the inner facts have from it.
 * TRUSTED-4 a sensor that is no longer heard, or measures something else now, is forgotten.
 *
 * @param forget drops from facts what stems from sensors that its context no longer holds
 */
export function trusted<Facts extends TrackedFacts>(
  inner: Tracker<Facts>,
  forget: (facts: Facts, context: SubjectContext) => void = () => undefined,
): Tracker<Facts & TrustedFacts> {
  type Both = Facts & TrustedFacts
  return {
    initial: () => ({ ...inner.initial(), trust: {} }),
    onReading: (facts: Both, reading, context) => {
      const listening = listeningOf(facts, context)
      if (!stepListening(facts, reading, listening, context)) {
        if (listening.changed) forget(facts, listening.innerContext)
        facts.atMs = reading.atMs
        return
      }
      inner.onReading(facts, reading, listening.innerContext)
    },
    onOrder: (facts: Both, order: Order, context) => {
      forgetUnheard(facts, context)
      inner.onOrder(facts, order, listeningOf(facts, context).innerContext)
    },
    deadlineMs: (facts, context) => inner.deadlineMs(facts, listeningOf(facts, context).innerContext),
    onDeadline: (facts, atMs, context) =>
      inner.onDeadline(facts, atMs, listeningOf(facts, context).innerContext),
  }
}

interface Judged {
  readonly rule: TrustRule
  state: TrustState | null
  readonly peers: Peer[]
}

/** A shortcut beside the facts, made anew whenever the context changes; nothing in it is truth of its own. */
interface Listening {
  readonly context: SubjectContext
  readonly judged: ReadonlyMap<string, Judged>
  innerContext: SubjectContext
  /** Did the last reading change who is believed? */
  changed: boolean
}

const listenings = new WeakMap<TrustedFacts, Listening>()

function listeningOf(facts: TrustedFacts, context: SubjectContext): Listening {
  const known = listenings.get(facts)
  if (known?.context === context) return known
  const listening: Listening = {
    context,
    judged: judgedOf(facts, context),
    innerContext: believedContext(facts, context),
    changed: false,
  }
  listenings.set(facts, listening)
  return listening
}

/** Steps the sensor's trust. Gives whether its reading may be used. */
function stepListening(
  facts: TrustedFacts,
  { sensorId, quantity, atMs, value }: Reading,
  listening: Listening,
  context: SubjectContext,
): boolean {
  const judged = listening.judged.get(sensorId)
  listening.changed = false
  if (!judged) return true
  judged.state ??= facts.trust[sensorId] = initialTrust(quantity)
  const before = isTrusted(judged.state)
  const usable = stepTrust(judged.state, { atMs, value }, judged.rule, judged.peers)
  if (isTrusted(judged.state) !== before) {
    listening.changed = true
    listening.innerContext = believedContext(facts, context)
  }
  return usable
}

function judgedOf(facts: TrustedFacts, { sensors, settings }: SubjectContext): ReadonlyMap<string, Judged> {
  const judged = new Map<string, Judged>()
  for (const sensor of sensors.values()) {
    const rule = trustRuleOf(sensor, settings)
    if (rule) judged.set(sensor.id, { rule, state: facts.trust[sensor.id] ?? null, peers: [] })
  }
  for (const [id, { peers }] of judged) {
    for (const [otherId, other] of judged) {
      if (otherId !== id && areNeighbours(sensors.get(id), sensors.get(otherId))) peers.push(other)
    }
  }
  return judged
}

function areNeighbours(a: HeardBinding | undefined, b: HeardBinding | undefined): boolean {
  if (!a || !b) return false
  return a.quantity === b.quantity && a.subject.kind === b.subject.kind && a.subject.id === b.subject.id
}

/** The context without the sensors that are not believed; the same object while all are. */
function believedContext(facts: TrustedFacts, context: SubjectContext): SubjectContext {
  const believed = [...context.sensors].filter(([id]) => !isDistrusted(facts, id))
  return believed.length === context.sensors.size ? context : { ...context, sensors: new Map(believed) }
}

function forgetUnheard({ trust }: TrustedFacts, { sensors }: SubjectContext): void {
  for (const [id, { quantity }] of Object.entries(trust)) {
    if (sensors.get(id)?.quantity !== quantity) Reflect.deleteProperty(trust, id)
  }
}

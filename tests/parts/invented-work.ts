import { isReadyMade, routinesOf, subjectsOf } from '../../services/core/advise/routines/routines-of.ts'
import { checkOf, SYMPTOM_ADVICE } from '../../services/core/advise/symptoms.ts'
import { titleOf } from '../../services/core/alarms/subject-title.ts'
import type { Settings } from '../../services/core/model/settings.ts'
import { SYMPTOMS } from '../../services/core/model/symptom.ts'

export function inventedRoutines(settings: Settings) {
  return routinesOf(settings).map((routine) => ({
    ...routine,
    isReadyMade: isReadyMade(routine.id),
    subjects: subjectsOf(routine, settings).map((subject) => ({
      subject,
      title: titleOf(subject, settings),
    })),
  }))
}

export function inventedSymptoms(settings: Settings) {
  return SYMPTOMS.map((symptom) => ({
    symptom,
    title: SYMPTOM_ADVICE[symptom].title,
    reason: SYMPTOM_ADVICE[symptom].reason,
    check: checkOf(symptom, settings).title,
    story:
      symptom === 'missingNozzles'
        ? ['The air was dry for 14 h, 34 %RH at its driest. It last began 21:40.']
        : [],
  }))
}

export function inventedDisposals(nowMs: number) {
  const act = { actorId: 'person-1', via: 'screen', atMs: nowMs }
  const entry = { bottleId: 'back-waste', note: '', by: 'Mira', corrections: 0, act }
  return {
    disposals: [
      {
        ...entry,
        disposalId: 'd2',
        volumeMl: 1600,
        toWhom: 'Harbour hauling',
        disposedMs: nowMs - 3 * 86_400_000,
      },
      {
        ...entry,
        disposalId: 'd1',
        volumeMl: 1450,
        toWhom: 'Harbour hauling',
        disposedMs: nowMs - 40 * 86_400_000,
      },
    ],
    moreBeforeMs: null,
    emptyings: [{ bottleId: 'back-waste', atMs: nowMs - 86_400_000, volumeMl: 1400 }],
    bottles: [{ id: 'back-waste', title: 'Waste bottle, back wall' }],
  }
}

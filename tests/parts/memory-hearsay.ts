import type {
  BookOfRecord,
  HeardSensor,
  HeardSensorNote,
  QuarantineEntry,
  RecordsReader,
} from '../../services/core/model/ports/records.ts'
import type { UndoJournal } from './undo-journal.ts'

const SAMPLES_A_TOPIC = 100
const SAMPLES_IN_ALL = 10_000

export interface MemoryHearsay extends Pick<BookOfRecord, 'keepRejection' | 'noteHeard'> {
  readonly quarantined: () => number
  readonly facts: Pick<RecordsReader, 'heardSensors' | 'quarantine'>
}

/** Who was heard, and what could not be used, in plain Maps. */
export function createMemoryHearsay(journal: UndoJournal): MemoryHearsay {
  const heard = new Map<string, HeardSensor>()
  const kept = new Map<string, QuarantineEntry>()
  const perTopic = new Map<string, number>()
  const total = new Map<'all', number>()
  const add = <K>(map: Map<K, number>, key: K): void => journal.put(map, key, (map.get(key) ?? 0) + 1)
  return {
    keepRejection: (rejection, receivedMs) => {
      add(total, 'all')
      const { topic } = rejection
      const key = JSON.stringify(rejection)
      const known = kept.get(key)
      if (known) return journal.put(kept, key, { ...known, count: known.count + 1, lastMs: receivedMs })
      if (kept.size >= SAMPLES_IN_ALL || (perTopic.get(topic) ?? 0) >= SAMPLES_A_TOPIC) return
      add(perTopic, topic)
      journal.put(kept, key, { ...rejection, count: 1, firstMs: receivedMs, lastMs: receivedMs })
    },
    noteHeard: (notes) => {
      for (const note of notes) journal.put(heard, note.sensorId, merged(heard.get(note.sensorId), note))
    },
    quarantined: () => total.get('all') ?? 0,
    facts: {
      heardSensors: () => [...heard.values()].sort((a, b) => (a.sensorId < b.sensorId ? -1 : 1)),
      quarantine: (limit) => [...kept.values()].sort((a, b) => b.lastMs - a.lastMs).slice(0, limit),
    },
  }
}

function merged(known: HeardSensor | undefined, note: HeardSensorNote): HeardSensor {
  if (!known) return { ...note, firstReceivedMs: note.receivedMs }
  const newest = note.atMs >= known.atMs ? note : known
  return {
    sensorId: note.sensorId,
    nodeId: note.nodeId,
    quantity: newest.quantity,
    value: newest.value,
    atMs: newest.atMs,
    receivedMs: Math.max(known.receivedMs, note.receivedMs),
    firstReceivedMs: known.firstReceivedMs,
    intervalMs: note.intervalMs ?? known.intervalMs,
    readings: known.readings + note.readings,
  }
}

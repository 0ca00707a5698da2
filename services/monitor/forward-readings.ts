import type { Input } from '../core/model/input.ts'
import { HistoryRefusedError, type HistoryWriter, type PlacedReading } from '../core/model/ports/history.ts'
import type { BookOfRecord, RecordsReader } from '../core/model/ports/records.ts'
import { emptySettings, type Settings } from '../core/model/settings.ts'
import type { Log } from './log.ts'
import { createPlacer } from './place-readings.ts'

/** Readings in one request. */
const FORWARD_AT_ONCE = 5_000
/** Inputs looked at in one round, so that a long stretch without readings does not hold up the rest. */
const INPUTS_AT_ONCE = 20_000

export interface ForwardParts {
  readonly book: Pick<BookOfRecord, 'transaction' | 'inputsAfter' | 'forwardedSeq' | 'noteForwarded'>
  readonly reader: Pick<RecordsReader, 'settingsHistory' | 'readingsAfterInput'>
  readonly writer: HistoryWriter
  readonly log: Pick<Log, 'warn' | 'info'>
}

export interface Forwarder {
  /** Hands the next batch on; gives how many readings the store took. Rejects when the store did not. */
  readonly forward: () => Promise<number>
  /** How the store stands, for people: null while it takes what comes. */
  readonly problem: () => string | null
  /** Readings that wait. */
  readonly waiting: () => number
}

/**
 * Hands every reading of the log on to a second store.
 *
 * FORWARD-1 the log of inputs is the queue, and a mark in the book of record says how far it has been handed on: what was
 *           committed waits there, however long the store is away.
 * FORWARD-2 the mark moves only after the store took the readings. A crash between the two hands them on again, and a
 *           store that holds them already keeps them once.
 * FORWARD-3 in the order of the log, each placed by the settings that held then.
 * FORWARD-4 a reading that the store will never take is left out, alone, counted and logged: it does not hold up the rest.
 */
export function createForwarder({ book, reader, writer, log }: ForwardParts): Forwarder {
  let problem: string | null = null
  let settings: Settings | null = null

  /** The settings in force at the mark: looked up once, and then followed along the log. */
  const settingsAt = (seq: number): Settings =>
    reader.settingsHistory(Number.MAX_SAFE_INTEGER).find((s) => s.seq <= seq)?.settings ?? emptySettings()

  const next = (): { throughSeq: number; readings: PlacedReading[]; after: Settings } => {
    const fromSeq = book.forwardedSeq()
    const batch = {
      throughSeq: fromSeq,
      readings: [] as PlacedReading[],
      after: (settings ??= settingsAt(fromSeq)),
    }
    let place = createPlacer(batch.after)
    let looked = 0
    for (const input of book.inputsAfter(fromSeq)) {
      if (input.type === 'settings') place = createPlacer((batch.after = input.settings))
      if (input.type === 'readings') batch.readings.push(...placed(input, place))
      batch.throughSeq = input.seq
      if (batch.readings.length >= FORWARD_AT_ONCE || ++looked >= INPUTS_AT_ONCE) break
    }
    return batch
  }

  return {
    forward: async () => {
      const { throughSeq, readings, after } = next()
      if (throughSeq === book.forwardedSeq()) return 0
      try {
        await writeSound(writer, readings, log)
      } catch (error) {
        const reason = error instanceof Error ? error.message : String(error)
        if (problem === null)
          log.warn({ reason }, 'the history store does not take readings; they wait in the book of record')
        problem = `the history store does not take readings (${reason}); they wait here and nothing is lost`
        throw error
      }
      if (problem !== null) log.info({}, 'the history store takes readings again')
      problem = null
      book.transaction(() => book.noteForwarded(throughSeq))
      settings = after
      return readings.length
    },
    problem: () => problem,
    waiting: () => reader.readingsAfterInput(book.forwardedSeq()),
  }
}

/**
 * Whether the second store has still to take what stood on the log when this was asked last, or when the monitor was
 * started: years from a file, or what gathered while it was away. What came since is young, and on its way.
 *
 * FORWARD-5 nothing of that is old enough to be thrown away unless the store has it, however few readings wait.
 */
export function createAwaited(book: Pick<BookOfRecord, 'lastSeq' | 'forwardedSeq'>): () => boolean {
  let stoodSeq = book.lastSeq()
  return () => {
    const isAwaited = book.forwardedSeq() < stoodSeq
    if (!isAwaited) stoodSeq = book.lastSeq()
    return isAwaited
  }
}

/** Hands on all that waits. Stops quietly when the store does not take it: the forwarder has said so, once. */
export async function forwardAll({ forward }: Pick<Forwarder, 'forward'>): Promise<void> {
  try {
    while ((await forward()) > 0);
  } catch {
    // Told by `problem()`, logged when it began, and tried again in the next round.
  }
}

function placed(
  input: Extract<Input, { type: 'readings' }>,
  place: ReturnType<typeof createPlacer>,
): PlacedReading[] {
  return input.readings.map((reading) => place(input.nodeId, reading))
}

/** Halves what was refused until the one is found that is to blame. */
async function writeSound(
  writer: HistoryWriter,
  readings: readonly PlacedReading[],
  log: Pick<Log, 'warn'>,
): Promise<void> {
  try {
    await writer.write(readings)
  } catch (error) {
    if (!(error instanceof HistoryRefusedError)) throw error
    const [only] = readings
    if (readings.length === 1 && only) {
      const { sensorId, quantity, atMs, value } = only
      log.warn(
        { sensorId, quantity, atMs, value, reason: error.message },
        'the history store refused a reading for good',
      )
      return
    }
    const middle = Math.ceil(readings.length / 2)
    await writeSound(writer, readings.slice(0, middle), log)
    await writeSound(writer, readings.slice(middle), log)
  }
}

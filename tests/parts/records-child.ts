import { createSqliteBookOfRecord } from '../../services/adapters/records-sqlite/create-book-of-record.ts'
import { openDatabase } from '../../services/adapters/records-sqlite/open-database.ts'

/**
 * A process of its own that opens a data folder: `hold` keeps it open, `write` commits packs without pause and prints
 * the seq of each once its commit has returned. Ends when it is killed, or when its input ends.
 */
const [mode, dataDir] = process.argv.slice(2)
const PACKS_A_COMMIT = 5

process.stdin.on('end', () => process.exit(0)).resume()
const book = createSqliteBookOfRecord({ db: openDatabase({ dataDir: dataDir ?? '' }) })
process.stdout.write('opened\n')
if (mode === 'write') commit()

function commit(): void {
  book.transaction(() => {
    for (let n = 0; n < PACKS_A_COMMIT; n++) append(book.lastSeq() + 1)
  })
  process.stdout.write(`${book.lastSeq()}\n`, () => setImmediate(commit))
}

/** Two readings a pack, and an effect: what a commit tears apart when it is not whole. */
function append(seq: number): void {
  const atMs = 1_700_000_000_000 + seq * 1000
  const reading = { sensorId: 'bench/humidity', quantity: 'humidity' as const, atMs, value: seq }
  const other = { ...reading, sensorId: `bench/sensor-${seq % 50}` }
  const readings = [reading, other]
  book.appendInput({ type: 'readings', seq, atMs, receivedMs: atMs, nodeId: 'bench', readings })
  const snapshot = {
    type: 'subjectSnapshot',
    subjectKey: 'room:floor',
    throughMs: atMs,
    stateJson: String(seq),
  } as const
  book.applyEffects(seq, [snapshot])
}

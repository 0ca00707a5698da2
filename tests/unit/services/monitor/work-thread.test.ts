import { afterEach, describe, expect, it } from 'vitest'
import { startWorkThread, type WorkThread } from '../../../../services/monitor/work-thread.ts'
import { waitFor } from '../../../parts/wait-for.ts'

const ENTRY = new URL('../../../parts/work-thread-child.ts', import.meta.url)
const threads: WorkThread[] = []
let heard: unknown[] = []

function start(job: string): WorkThread {
  heard = []
  const thread = startWorkThread(
    { kind: 'test', dataDir: '', job },
    { hear: (word) => void heard.push(word), entry: ENTRY, mostMemoryMb: 48 },
  )
  threads.push(thread)
  return thread
}
afterEach(async () => {
  await Promise.all(threads.splice(0).map((thread) => thread.stop()))
})

describe('work in a thread of its own', { timeout: 60_000 }, () => {
  it('THREAD-2 everything it says is heard by the time it is done', async () => {
    await start('count').done
    expect(heard).toEqual(Array.from({ length: 1_000 }, (_, i) => i + 1))
  })

  it.each([
    ['throw', 'this head has no nozzles'],
    ['reject', 'nobody waited for this'],
    ['exit', 'exit code 3'],
    ['hoard', 'more than the 48 MB'],
  ])(
    'THREAD-1 THREAD-2 one that ends by %s is a failure with words, and what it said is heard',
    async (job, words) => {
      await expect(start(job).done).rejects.toThrow(words)
      expect(heard).toEqual([1])
      await start('count').done
    },
  )

  it('THREAD-3 is stopped at once in the middle of anything, and that is no failure', async () => {
    const thread = start('wait')
    await waitFor('its first word', () => heard.length === 1 || null)
    await thread.stop()
    await thread.done
    await thread.stop()
    expect(heard).toEqual([1])
  })

  it('THREAD-3 nothing is heard of it once it was stopped', async () => {
    const thread = start('count')
    const stopped = thread.stop()
    await Promise.all([stopped, thread.done])
    expect(heard).toEqual([])
  })

  it('THREAD-4 knows nothing of the environment', async () => {
    process.env['NIGHTCAP_TEST_SECRET'] = 'not for threads'
    try {
      await start('environment').done
      expect(heard).toEqual([1, []])
    } finally {
      delete process.env['NIGHTCAP_TEST_SECRET']
    }
  })

  it('work of no known kind says so', async () => {
    const { done } = startWorkThread({ kind: 'baking', dataDir: '', job: null }, { hear: () => undefined })
    await expect(done).rejects.toThrow('there is no work of the kind baking')
  })
})

import type { Unsent, UnsentStore } from './unsent.ts'

const STORE = 'unsent'

/** In the browser's own database. Each call may fail where a browser keeps nothing: the caller says so then. */
export function createUnsentStore(factory: () => IDBFactory): UnsentStore {
  const open = (): Promise<IDBDatabase> =>
    new Promise((resolve, reject) => {
      const request = factory().open('nightcap', 1)
      request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: 'key' })
      request.onsuccess = () => resolve(request.result)
      request.onerror = () => reject(request.error ?? new Error('the device keeps nothing'))
    })
  const within = async <T>(
    mode: IDBTransactionMode,
    run: (store: IDBObjectStore) => IDBRequest<T>,
  ): Promise<T> => {
    const db = await open()
    try {
      return await new Promise<T>((resolve, reject) => {
        const transaction = db.transaction(STORE, mode)
        const request = run(transaction.objectStore(STORE))
        transaction.oncomplete = () => resolve(request.result)
        transaction.onabort = () => reject(transaction.error ?? new Error('the device keeps nothing'))
      })
    } finally {
      db.close()
    }
  }
  return {
    all: async () => {
      const entries = await within('readonly', (store) => store.getAll() as IDBRequest<Unsent[]>)
      return entries.sort((a, b) => a.saidMs - b.saidMs || (a.key < b.key ? -1 : 1))
    },
    put: async (entry) => void (await within('readwrite', (store) => store.put(entry))),
    remove: async (key) => void (await within('readwrite', (store) => store.delete(key))),
  }
}

/** A request that carries a key of its own, so that it is done once however often it is sent. */
export interface KeyedRequest {
  /** Who sent it: a key is one person's own. */
  readonly callerId: string
  /** 1 to 64 characters. */
  readonly key: string
  /** SHA-256 of what is asked for: method, address and body. */
  readonly askedHash: string
}

export interface GivenAnswer {
  readonly status: number
  readonly contentType: string
  readonly body: string
}

/** What is known of a key: nothing, that its work began, what was answered, or that it was for something else. */
export type Known =
  | { readonly state: 'new' }
  | { readonly state: 'begun' }
  | { readonly state: 'answered'; readonly answer: GivenAnswer }
  | { readonly state: 'other' }

/** Remembers requests with a key for a day. Kept in the same file as the book of record, in a table of its own. */
export interface SentOnceStore {
  /**
   * SO-1: a key that nobody knows is `new`, and `begun` from then on; each caller has keys of their own.
   * SO-2: the same key for something else is `other`, and leaves the first as it was.
   */
  begin: (request: KeyedRequest & { readonly atMs: number }) => Known
  /** SO-3: from then on the key gives this very answer. */
  settle: (request: Pick<KeyedRequest, 'callerId' | 'key'>, answer: GivenAnswer) => void
  /** SO-4: nothing came of it, so that it may be tried again. */
  forget: (request: Pick<KeyedRequest, 'callerId' | 'key'>) => void
  /** SO-5: drops what was begun before `atMs`. */
  dropBefore: (atMs: number) => void
}

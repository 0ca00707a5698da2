import { z } from 'zod'

/** Fixed words of our topics: a node or machine of such a name could be mistaken for one, so none may have it. */
export const TOPIC_WORDS = ['nightcap', 'v1', 'node', 'machine', 'readings', 'status', 'state'] as const

/**
 * A name used in topics, ids and file names: a subset of the SenML alphabet (RFC 8428 section 4.5.1) without the
 * separators `/` and `:`, so that a name is always one topic level and one part of an id.
 */
export const nameSchema = z
  .string()
  .min(1, { error: 'give a name of 1 to 64 characters' })
  .max(64, { error: 'give a name of 1 to 64 characters' })
  .regex(/^[A-Za-z0-9][A-Za-z0-9._-]*$/, {
    error: 'use letters, digits, - _ and . only, beginning with a letter or digit',
  })
  .refine((name) => !(TOPIC_WORDS as readonly string[]).includes(name), {
    error: `${TOPIC_WORDS.join(', ')} are words of our topics: choose another name`,
  })

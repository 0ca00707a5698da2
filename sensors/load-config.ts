import { readFileSync, statSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import { parse } from 'yaml'
import type { z } from 'zod'
import { type NodeConfig, nodeConfigSchema } from './node-config.ts'

/** What is wrong with a config: the field, and what to do. */
export interface ConfigProblem {
  readonly field: string
  readonly reason: string
}

export type Loaded<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problems: readonly ConfigProblem[] }

/** Reads a node's config from YAML or JSON text. Paths in it are taken from `folder`. */
export function parseNodeConfig(text: string, folder: string): Loaded<NodeConfig> {
  let document: unknown
  try {
    document = parse(text, { logLevel: 'error' })
  } catch (error) {
    const first = error instanceof Error ? (error.message.split('\n')[0] ?? '') : ''
    return problem('', `the file is neither YAML nor JSON: ${first}`)
  }
  const parsed = nodeConfigSchema.safeParse(document)
  if (!parsed.success) return { ok: false, problems: parsed.error.issues.flatMap(toProblems) }
  return { ok: true, value: withPathsFrom(folder, parsed.data) }
}

export function loadNodeConfig(file: string): Loaded<NodeConfig> {
  const text = readText(file)
  return text === null
    ? problem('', `${file} cannot be read: give the path of the node's config file`)
    : parseNodeConfig(text, dirname(resolve(file)))
}

/**
 * The node's secret: from its file, or else the one given (from NIGHTCAP_NODE_SECRET). A file that others may read is
 * refused.
 */
export function loadNodeSecret({ broker }: NodeConfig, given: string | undefined): Loaded<string> {
  if (broker.secretFile === undefined) {
    const secret = (given ?? '').trim()
    if (secret !== '') return { ok: true, value: secret }
    return problem(
      'broker.secretFile',
      'is missing, and NIGHTCAP_NODE_SECRET is not set: make a secret for this node on the board',
    )
  }
  const text = readText(broker.secretFile)
  if (text === null)
    return problem('broker.secretFile', `${broker.secretFile} cannot be read: put the node's secret there`)
  if ((statSync(broker.secretFile).mode & 0o077) !== 0) {
    return problem('broker.secretFile', `${broker.secretFile} can be read by others: chmod 600 it`)
  }
  const secret = text.trim()
  return secret === ''
    ? problem('broker.secretFile', `${broker.secretFile} is empty: put the node's secret there`)
    : { ok: true, value: secret }
}

/** The pinned authority as PEM text; undefined where the system's own are to be trusted. */
export function loadAuthority({ broker }: NodeConfig): Loaded<string | undefined> {
  if (broker.caFile === undefined) return { ok: true, value: undefined }
  const text = readText(broker.caFile)
  return text?.includes('-----BEGIN CERTIFICATE-----')
    ? { ok: true, value: text }
    : problem(
        'broker.caFile',
        `${broker.caFile} holds no certificate in PEM form: copy the monitor's authority there`,
      )
}

function withPathsFrom(folder: string, config: NodeConfig): NodeConfig {
  const { broker, outbox } = config
  return {
    ...config,
    broker: {
      ...broker,
      ...(broker.caFile === undefined ? {} : { caFile: resolve(folder, broker.caFile) }),
      ...(broker.secretFile === undefined ? {} : { secretFile: resolve(folder, broker.secretFile) }),
    },
    outbox: { ...outbox, directory: resolve(folder, outbox.directory) },
  }
}

function toProblems(issue: z.core.$ZodIssue): ConfigProblem[] {
  const field = issue.path
    .map((p) => (typeof p === 'number' ? `[${p}]` : `.${String(p)}`))
    .join('')
    .replace(/^\./, '')
  if (issue.code !== 'unrecognized_keys') return [{ field, reason: issue.message }]
  return issue.keys.map((key) => ({
    field: field === '' ? key : `${field}.${key}`,
    reason: 'is not a known key: correct its spelling, or leave it out',
  }))
}

function problem(field: string, reason: string): { ok: false; problems: readonly ConfigProblem[] } {
  return { ok: false, problems: [{ field, reason }] }
}

function readText(file: string): string | null {
  try {
    return readFileSync(file, 'utf8')
  } catch {
    return null
  }
}

import { isNode, isMap, isScalar, LineCounter, parseDocument, stringify, visit, type Document } from 'yaml'
import type { Settings } from '../core/model/settings.ts'
import type { FieldError } from './problem-details.ts'
import { parseSettings } from './settings-check.ts'

/** A fault in a settings file, with the line it stands on (1 is the first) where that is known. */
export interface SettingsFileError extends FieldError {
  readonly line: number | null
}

export type SettingsFileOutcome =
  | { readonly ok: true; readonly settings: Settings }
  | { readonly ok: false; readonly errors: readonly SettingsFileError[] }

/** Longest settings file that is read. */
const MAX_CHARACTERS = 1_000_000
/** So many faults are told; whoever mends those sees the next. */
const MOST_FAULTS = 50

/**
 * Settings out of a YAML 1.2 file (core schema: dates and times of day stay texts). Aliases, tags of their own and
 * a key given twice are refused: a settings file needs none of them, and they are how such a file hides something.
 */
export function parseSettingsYaml(text: string): SettingsFileOutcome {
  if (text.length > MAX_CHARACTERS)
    return refuse(null, 'the file is longer than 1,000,000 characters: shorten it')
  const lines = new LineCounter()
  // The library compares every key with every other: a hostile file would hold the monitor up for many minutes.
  const options = { version: '1.2', schema: 'core', merge: false, uniqueKeys: false } as const
  const document = parseDocument(text, { lineCounter: lines, ...options })
  const found = [...document.errors, ...document.warnings, ...keysGivenTwice(document)]
  const faults = found.slice(0, MOST_FAULTS).map(({ code, message, pos }) => {
    const { line } = lines.linePos(pos[0])
    return { pointer: '', line, detail: withLine(line, FAULT_WORDS[code] ?? firstLine(message)) }
  })
  if (faults.length > 0) return { ok: false, errors: faults }
  const value = valueOf(document)
  if (value === undefined) return refuse(null, 'aliases (*name) cannot be used here: write the value out')
  const outcome = parseSettings(value)
  if (outcome.ok) return outcome
  return {
    ok: false,
    errors: outcome.errors.map((error) => {
      const line = lineOf(document, error.pointer, lines)
      return { ...error, line, detail: withLine(line, error.detail) }
    }),
  }
}

/** The settings as a YAML file that `parseSettingsYaml` reads back unchanged. */
export function toSettingsYaml(settings: Settings): string {
  return stringify(settings, { version: '1.2', schema: 'core', aliasDuplicateObjects: false, lineWidth: 110 })
}

/** Where the YAML library's own words name no cure. */
const FAULT_WORDS: Readonly<Record<string, string>> = {
  DUPLICATE_KEY: 'this name stands twice: keep one of the two',
  MULTIPLE_DOCS: 'a second document begins here: keep one in the file',
  TAG_RESOLVE_FAILED: 'tags (!name) cannot be used here: write the value as it is',
}

interface Fault {
  readonly code: string
  readonly message: string
  readonly pos: readonly [number, ...number[]]
}

/** In one pass, however many keys there are. */
function keysGivenTwice(document: Document): readonly Fault[] {
  if (document.errors.length > 0) return []
  const faults: Fault[] = []
  visit(document, {
    Map: (_, { items }) => {
      const seen = new Set<string>()
      for (const { key } of items) {
        const name = isScalar(key) ? String(key.value) : null
        if (name === null) continue
        if (seen.has(name)) faults.push({ code: 'DUPLICATE_KEY', message: '', pos: placeOf(key) })
        seen.add(name)
      }
    },
  })
  return faults
}

function placeOf(key: unknown): [number] {
  return [isNode(key) && key.range ? key.range[0] : 0]
}

/** undefined when the document uses an alias; an empty file is null, which the schema refuses by name. */
function valueOf(document: Document): unknown {
  try {
    return document.toJS({ maxAliasCount: 0 }) as unknown
  } catch (error) {
    if (error instanceof ReferenceError) return undefined
    throw error
  }
}

/** The line of the field, or of the nearest thing around it when the field itself is missing. */
function lineOf(document: Document, pointer: string, lines: LineCounter): number | null {
  const path = pointer
    .split('/')
    .slice(1)
    .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'))
  for (let depth = path.length; depth > 0; depth--) {
    const at = startOf(document, path.slice(0, depth))
    if (at !== null) return lines.linePos(at).line
  }
  return null
}

function startOf(document: Document, path: readonly string[]): number | null {
  const parent = path.length === 1 ? document.contents : document.getIn(path.slice(0, -1), true)
  const last = path.at(-1)
  if (isMap(parent)) {
    const pair = parent.items.find((item) => isNode(item.key) && String(item.key) === last)
    if (isNode(pair?.key) && pair.key.range) return pair.key.range[0]
  }
  const node = document.getIn(path, true)
  return isNode(node) && node.range ? node.range[0] : null
}

function withLine(line: number | null, detail: string): string {
  return line === null ? detail : `line ${line}: ${detail}`
}

function firstLine(message: string): string {
  return (message.split('\n')[0] ?? message).replace(/ at line \d+, column \d+:?$/, '')
}

function refuse(line: number | null, detail: string): SettingsFileOutcome {
  return { ok: false, errors: [{ pointer: '', line, detail }] }
}

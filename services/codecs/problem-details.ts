import { z } from 'zod'

/** What is wrong with one field: where it stands (JSON Pointer, RFC 6901) and how to mend it. */
export const fieldErrorSchema = z.object({ pointer: z.string(), detail: z.string() })
export type FieldError = z.infer<typeof fieldErrorSchema>

/** Problem details for HTTP (RFC 9457), with the extension `errors` of its section 3 for single fields. */
export const problemDetailsSchema = z.object({
  type: z.string(),
  title: z.string(),
  status: z.int().min(400).max(599),
  detail: z.string(),
  errors: z.array(fieldErrorSchema).optional(),
})
export type ProblemDetails = z.infer<typeof problemDetailsSchema>

export const PROBLEM_CONTENT_TYPE = 'application/problem+json'

/** The path of an issue as a JSON Pointer, with `~` and `/` escaped (RFC 6901 section 3). */
export function toJsonPointer(path: readonly PropertyKey[]): string {
  return path.map((part) => `/${String(part).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')
}

/** Each fault that a schema found, with its place and a cure in plain words. At most 50: more help nobody. */
export function fieldErrorsOf(issues: readonly z.core.$ZodIssue[]): FieldError[] {
  return issues.flatMap(errorsOf).slice(0, 50)
}

/** One line for a person: `name: is missing: give a text`. */
export function toSentence(errors: readonly FieldError[]): string {
  const lines = errors.slice(0, 5).map(({ pointer, detail }) => {
    const field = pointer.slice(1).replaceAll('/', '.').replaceAll('~1', '/').replaceAll('~0', '~')
    return field === '' ? detail : `${field}: ${detail}`
  })
  return errors.length > 5 ? `${lines.join('; ')}; and ${errors.length - 5} more` : lines.join('; ')
}

function errorsOf(issue: z.core.$ZodIssue): FieldError[] {
  const pointer = toJsonPointer(issue.path)
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => ({
      pointer: pointer + toJsonPointer([key]),
      detail: `${key} is not known here: check the spelling, or leave it out`,
    }))
  }
  if (issue.code === 'invalid_type') return [{ pointer, detail: typeWords(issue) }]
  if (issue.code === 'invalid_union') return [{ pointer, detail: unionWords(issue) }]
  return [{ pointer, detail: plain(issue.message) }]
}

const KIND_WORDS: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object',
}

function typeWords(issue: z.core.$ZodIssueInvalidType): string {
  const wanted = KIND_WORDS[issue.expected] ?? issue.expected
  const got = /received (\w+)$/.exec(issue.message)?.[1]
  if (got === 'undefined' || (got === 'null' && issue.path.length === 0)) return `is missing: give ${wanted}`
  return got ? `must be ${wanted}, not ${KIND_WORDS[got] ?? got}` : plain(issue.message)
}

function unionWords(issue: z.core.$ZodIssueInvalidUnion): string {
  const inner = issue.errors.flat()[0]
  if (inner) return plain(inner.message)
  return 'is none of the kinds known here: see /api/openapi.json for those there are'
}

/** The schema library's own texts say what they wanted; only their opening words are for programmers. */
function plain(message: string): string {
  return message.replace(/^(Invalid input|Invalid option|Invalid string|Too small|Too big): /, '')
}

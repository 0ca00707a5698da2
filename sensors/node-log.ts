/** The part of a logger that the node uses; a pino logger fits. */
export interface NodeLog {
  readonly info: (context: object, text: string) => void
  readonly warn: (context: object, text: string) => void
}

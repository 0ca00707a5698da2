import type { Proof } from '../../../../services/core/model/task.ts'

const VERDICTS: Readonly<Record<Proof['verdict'], string>> = {
  proven: 'The sensors confirm it',
  contradicted: 'The sensors say otherwise',
  notSeen: 'The sensors cannot tell yet',
}

/** What sensors say of whether it was done; the last word counts. */
export function ProofLines({ proof }: { proof: readonly Proof[] }) {
  return (
    <>
      {proof.map(({ text, atMs, verdict }) => (
        <p key={atMs} class={`proof proof-${verdict}`}>
          {`${VERDICTS[verdict]}: ${text}`}
        </p>
      ))}
    </>
  )
}

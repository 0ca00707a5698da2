import type { Proof } from '../../../../services/core/model/task.ts'

const VERDICTS: Readonly<Record<Proof['verdict'], string>> = {
  proven: 'The sensors bear it out',
  contradicted: 'The sensors say otherwise',
  notSeen: 'The sensors cannot tell yet',
}

/** What sensors say of whether it was done; the last word counts. */
export function ProofLines({ proof }: { proof: readonly Proof[] }) {
  return (
    <>
      {proof.map(({ text, atMs, verdict }) => (
        <span key={atMs} class={verdict === 'contradicted' ? 'note strong' : 'note'}>
          {`${VERDICTS[verdict]}: ${text}`}
        </span>
      ))}
    </>
  )
}

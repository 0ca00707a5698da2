import type { Proof } from '../../../../services/core/model/task.ts'

const VERDICTS: Readonly<Record<Proof['verdict'], string>> = {
  proven: 'The sensors confirm it',
  contradicted: 'The sensors say otherwise',
  notSeen: 'The sensors cannot tell yet',
}

/** What sensors say of whether it was done. Once they can tell, it is of no use that they could not before. */
export function ProofLines({ proof }: { proof: readonly Proof[] }) {
  const told = proof.filter(({ verdict }, at) => verdict !== 'notSeen' || at === proof.length - 1)
  return (
    <>
      {told.map(({ text, atMs, verdict }) => (
        <p key={atMs} class={`proof proof-${verdict}`}>
          {`${VERDICTS[verdict]}: ${text}`}
        </p>
      ))}
    </>
  )
}

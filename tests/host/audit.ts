import { spawnSync } from 'node:child_process'

/** What the registry says of the libraries that go into a shop. */
export interface AuditVerdict {
  readonly failed: boolean
  readonly line: string
}

/** Asks the registry for known weaknesses of the libraries that are installed in a shop, not of those for building. */
export function auditLibraries(cwd: string): AuditVerdict {
  const { stdout } = spawnSync('npm', ['audit', '--omit=dev', '--json'], { cwd, encoding: 'utf8' })
  return judgeAudit(stdout)
}

/**
 * AUDIT-1 a weakness that is high or critical fails the run; lesser ones are counted.
 * AUDIT-2 a registry that cannot be asked fails nothing and is said: what is not known is not fine, and no fault of ours.
 */
export function judgeAudit(stdout: string): AuditVerdict {
  const counts = countsIn(stdout)
  if (!counts) return { failed: false, line: 'not asked  known weaknesses: the registry gave no answer' }
  const grave = (counts['high'] ?? 0) + (counts['critical'] ?? 0)
  const lesser = (counts['total'] ?? 0) - grave
  return grave > 0
    ? { failed: true, line: `FAILED  known weaknesses: ${grave} high or critical; see npm audit --omit=dev` }
    : { failed: false, line: `ok  known weaknesses: none that is high or critical, ${lesser} lesser` }
}

function countsIn(stdout: string): Readonly<Record<string, number>> | null {
  try {
    const report = JSON.parse(stdout) as { metadata?: { vulnerabilities?: Record<string, number> } }
    return report.metadata?.vulnerabilities ?? null
  } catch {
    return null
  }
}

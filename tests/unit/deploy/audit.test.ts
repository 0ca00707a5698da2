import { describe, expect, it } from 'vitest'
import { judgeAudit } from '../../host/audit.ts'

const report = (vulnerabilities: Record<string, number>): string =>
  JSON.stringify({ auditReportVersion: 2, metadata: { vulnerabilities } })

describe('known weaknesses of libraries', () => {
  it('AUDIT-1 one that is high or critical fails the run', () => {
    expect(judgeAudit(report({ low: 1, high: 1, critical: 0, total: 2 }))).toMatchObject({ failed: true })
    expect(judgeAudit(report({ critical: 1, total: 1 }))).toMatchObject({ failed: true })
    expect(judgeAudit(report({ low: 2, moderate: 1, high: 0, critical: 0, total: 3 }))).toEqual({
      failed: false,
      line: 'ok  known weaknesses: none that is high or critical, 3 lesser',
    })
  })
  it.each(['', '{"error":{"code":"E405"}}', 'no json'])('AUDIT-2 no answer (%j) is said', (stdout) => {
    expect(judgeAudit(stdout)).toMatchObject({ failed: false, line: /not asked/ })
  })
})

import type { ContractCase } from './contract.ts'
import { effectsContract } from './effects.contract.ts'
import { inputsContract } from './inputs.contract.ts'
import { keepingContract } from './keeping.contract.ts'
import { noticesContract } from './notices.contract.ts'
import type { Records } from './records.ts'
import { subjectHistoryContract } from './subject-history.contract.ts'

/** Every rule of `BookOfRecord` and `SubjectHistory`, for any implementation. What a crash leaves is tested in faults/. */
export const bookOfRecordContract: readonly ContractCase<Records>[] = [
  ...inputsContract,
  ...effectsContract,
  ...keepingContract,
  ...noticesContract,
  ...subjectHistoryContract,
]

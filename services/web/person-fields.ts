import { z } from 'zod'
import { MAX_PASSWORD_LENGTH, MIN_PASSWORD_LENGTH } from './auth/passwords.ts'

/** A name as people write it; one form for letters that keyboards send in two (NFC). */
export const personNameSchema = z
  .string()
  .trim()
  .normalize('NFC')
  .min(1, { error: 'give a name of 1 to 80 characters' })
  .max(80, { error: 'give a name of 1 to 80 characters' })
  .regex(/^[^\p{Cc}\p{Cf}]*$/u, { error: 'leave out characters that cannot be seen' })

/** Length is what counts (NIST SP 800-63B section 3.1.1.2); no rules on which characters. */
export const newPasswordSchema = z
  .string()
  .min(MIN_PASSWORD_LENGTH, { error: `give a password of at least ${MIN_PASSWORD_LENGTH} characters` })
  .max(MAX_PASSWORD_LENGTH, { error: `give a password of at most ${MAX_PASSWORD_LENGTH} characters` })

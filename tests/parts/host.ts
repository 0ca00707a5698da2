export { hasProgram } from '../host/programs.ts'
export { requireProgram, skipBecause } from '../host/require.ts'

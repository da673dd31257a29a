import { exitCodeOf, exitCodes, HoldfastError } from '../core/errors.js'

/** What went wrong, in words and without a stack, with the exit code that it means. */
export interface Failure {
  readonly text: string
  readonly exitCode: number
}

/** Puts anything thrown into words. */
export function failureOf(thrown: unknown): Failure {
  if (thrown instanceof HoldfastError) return { text: thrown.message, exitCode: exitCodeOf(thrown) }
  if (isFileError(thrown)) {
    return {
      text: `The system refused a file: ${thrown.code} at ${thrown.syscall ?? 'access'}. Mend: check that the disk has room and that you may read and write there.`,
      exitCode: exitCodes.data,
    }
  }
  const detail = thrown instanceof Error ? (thrown.stack ?? thrown.message) : String(thrown)
  return {
    text: `This is a fault of the software, not of your data. Please report what you did, with this text:\n${detail}`,
    exitCode: exitCodeOf(thrown),
  }
}

/** Prints what went wrong on standard error, and answers with the exit code. */
export function reportFailure(thrown: unknown): number {
  const { text, exitCode } = failureOf(thrown)
  process.stderr.write(`${text}\n`)
  return exitCode
}

function isFileError(thrown: unknown): thrown is NodeJS.ErrnoException {
  return thrown instanceof Error && 'code' in thrown && 'errno' in thrown
}

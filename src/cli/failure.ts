import { exitCodeOf, HoldfastError } from '../core/errors.js'

/** Prints what went wrong on standard error, in words and without a stack, and answers with the exit code. */
export function reportFailure(thrown: unknown): number {
  if (thrown instanceof HoldfastError) {
    process.stderr.write(`${thrown.message}\n`)
  } else if (isFileError(thrown)) {
    process.stderr.write(
      `The system refused a file: ${thrown.code} at ${thrown.syscall ?? 'access'}. Mend: check that the disk has room and that you may read and write there.\n`,
    )
  } else {
    const detail = thrown instanceof Error ? (thrown.stack ?? thrown.message) : String(thrown)
    process.stderr.write(
      `This is a fault of the software, not of your data. Please report what you did, with this text:\n${detail}\n`,
    )
  }
  return isFileError(thrown) ? 1 : exitCodeOf(thrown)
}

function isFileError(thrown: unknown): thrown is NodeJS.ErrnoException {
  return thrown instanceof Error && 'code' in thrown && 'errno' in thrown
}

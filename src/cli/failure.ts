import { exitCodeOf, exitCodes, HoldfastError, RecordError } from '../core/errors.js'

/** What went wrong, in words and without a stack, with the exit code that it means. */
export interface Failure {
  readonly text: string
  readonly exitCode: number
}

/** Puts anything thrown into words. */
export function failureOf(thrown: unknown): Failure {
  if (thrown instanceof HoldfastError) return { text: thrown.message, exitCode: exitCodeOf(thrown) }
  if (isOutOfMemory(thrown)) return { text: memoryFull().message, exitCode: exitCodes.data }
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

/** A thread that reached the limit of the engine, or a column for which there is no room. */
function isOutOfMemory(thrown: unknown): boolean {
  if (!(thrown instanceof Error)) return false
  const { code } = thrown as NodeJS.ErrnoException
  if (code === 'ERR_WORKER_OUT_OF_MEMORY' || code === 'ERR_MEMORY_ALLOCATION_FAILED') return true
  return thrown instanceof RangeError && /allocation failed|Invalid array buffer length/i.test(thrown.message)
}

function memoryFull(): RecordError {
  return new RecordError({
    code: 'out-of-memory',
    problem: 'the memory that Node may use did not suffice for these records; nothing was written.',
    expected: 'memory for the whole data set.',
    mend: 'close other programs, or set NODE_OPTIONS=--max-old-space-size=8192 (megabytes, less than the machine has), and run again.',
  })
}

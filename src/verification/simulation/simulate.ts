import { Command, CommanderError } from 'commander'
import { exitCodeOf, exitCodes, HoldfastError, UsageError } from '../../core/errors.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** Where the command writes: results on `out`, progress and failures on `err`. */
export interface SimulateOutput {
  readonly out: (text: string) => void
  readonly err: (text: string) => void
}

/** Runs the simulation command: lists the studies, or runs those named. Answers with the exit code. */
export async function simulate(
  words: readonly string[],
  studies: readonly SimulationStudy[],
  output: SimulateOutput,
): Promise<number> {
  const program = new Command('simulate')
    .description('simulation studies of the toolkit itself: data with known truth, and how often it is right')
    .argument('[study...]', 'studies to run, or all; without one they are listed')
    .option('--replicates <number>', 'fewer or more replicates than planned', Number)
    .helpOption('--help', 'print this help')
    .exitOverride()
    .configureOutput({ writeOut: output.out, writeErr: output.err })
    .action(async (names: readonly string[], options: { replicates?: number }) => {
      if (names.length === 0) return list(studies, output)
      const chosen = names.includes('all') ? studies : names.map((name) => studyNamed(name, studies))
      const replicates = checkedReplicates(options.replicates)
      for (const study of chosen) {
        await runStudy(study, { replicates, onProgress: progress(output) }, output)
      }
    })
  try {
    await program.parseAsync(words, { from: 'user' })
    return exitCodes.ok
  } catch (thrown) {
    if (thrown instanceof CommanderError) return thrown.exitCode === 0 ? exitCodes.ok : exitCodes.usage
    const text = thrown instanceof Error && !(thrown instanceof HoldfastError) ? thrown.stack : String(thrown)
    output.err(`${text}\n`)
    return exitCodeOf(thrown)
  }
}

function list(studies: readonly SimulationStudy[], output: SimulateOutput): void {
  for (const study of studies) {
    output.out(`${study.name}: ${study.question} (plan and result: ${study.page})\n`)
  }
  output.out('Run one with: npm run simulate -- NAME, or all of them with: npm run simulate -- all\n')
}

function studyNamed(name: string, studies: readonly SimulationStudy[]): SimulationStudy {
  const study = studies.find((one) => one.name === name)
  if (study !== undefined) return study
  throw new UsageError({
    code: 'no-such-study',
    problem: `there is no study ${name}.`,
    expected: `one of ${studies.map((one) => one.name).join(', ')}, or all.`,
    mend: 'name one of these.',
  })
}

function checkedReplicates(replicates: number | undefined): number | undefined {
  if (replicates === undefined || (Number.isSafeInteger(replicates) && replicates > 0)) return replicates
  throw new UsageError({
    code: 'replicates',
    problem: 'the number of replicates makes no sense.',
    expected: 'a whole number, at least 1.',
    mend: 'give another number, or leave it out for the planned one.',
  })
}

async function runStudy(study: SimulationStudy, settings: StudyRun, output: SimulateOutput): Promise<void> {
  output.out(`## ${study.name}\n\n${study.question}\n\n`)
  output.out(`${await study.run(settings)}\n`)
}

/** Writes how far the work is on standard error, a line for every tenth. */
function progress(output: SimulateOutput): StudyRun['onProgress'] {
  let last = ''
  return (what, share) => {
    const line = `${what} ${Math.floor(share * 10) * 10}%`
    if (line !== last) output.err(`${line}\n`)
    last = line
  }
}

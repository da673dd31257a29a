import { Command, CommanderError } from 'commander'
import { exitCodes } from '../core/errors.js'
import { sweepScratch } from '../core/scratch.js'
import { version } from '../notebook/version.js'
import type { OwnQuestion } from '../questions/registry.js'
import { addAudit } from './commands/audit.js'
import { addChanges } from './commands/changes.js'
import { addCheck } from './commands/check.js'
import { addDeidentify } from './commands/deidentify.js'
import { addDemo } from './commands/demo.js'
import { addKernel } from './commands/kernel.js'
import { addMap } from './commands/map.js'
import { addMerge } from './commands/merge.js'
import { addNotebook } from './commands/notebook.js'
import { addOwnPage } from './commands/ownPage.js'
import { addPlan } from './commands/plan.js'
import { addPool } from './commands/pool.js'
import { addPropose } from './commands/propose.js'
import { addRecall } from './commands/recall.js'
import { addShare } from './commands/share.js'
import { addStudy } from './commands/study.js'
import { addTemplate } from './commands/template.js'
import { addVerify } from './commands/verify.js'
import { addVoid } from './commands/void.js'
import { reportFailure } from './failure.js'

/** Commands in the order in which the help lists them; those of questions with a page of their own stand between. */
const beforeQuestions = [addAudit, addChanges, addPlan, addPropose]
const afterQuestions = [
  addCheck,
  addMap,
  addTemplate,
  addStudy,
  addRecall,
  addDeidentify,
  addMerge,
  addShare,
  addVoid,
  addPool,
  addDemo,
  addVerify,
  addNotebook,
  addKernel,
]

/**
 * The program with its commands, which parses and runs nothing yet.
 *
 * @param questions those that have a page of their own, each of which is a command
 */
export function makeProgram(questions: readonly OwnQuestion[]): Command {
  const program = new Command('holdfast')
    .description(
      'Audit of implant restorations: from the records of a practice to a report that can be handed on.',
    )
    .version(version, '--version', 'print the version')
    .helpOption('--help', 'print this help')
    .helpCommand(false)
    .showHelpAfterError('Add --help for the options and examples.')
    .exitOverride()
  for (const add of beforeQuestions) add(program)
  for (const question of questions) addOwnPage(program, question)
  for (const add of afterQuestions) add(program)
  return program
}

/** The program that can run these words: all questions are loaded only where none of the other commands is meant. */
export async function programFor([command]: readonly string[] = []): Promise<Command> {
  const others = makeProgram([])
  if (others.commands.some((one) => one.name() === command)) return others
  const { ownQuestions } = await import('../questions/registry.js')
  return makeProgram(ownQuestions as unknown as readonly OwnQuestion[])
}

/** Runs one command and answers with the exit code: 0 well, 1 the data, 2 the call, 3 a fault of the software. */
export async function run(words: readonly string[]): Promise<number> {
  sweepScratch()
  try {
    await (await programFor(words)).parseAsync(words, { from: 'user' })
    return Number(process.exitCode ?? exitCodes.ok)
  } catch (thrown) {
    if (thrown instanceof CommanderError) return thrown.exitCode === 0 ? exitCodes.ok : exitCodes.usage
    return reportFailure(thrown)
  }
}

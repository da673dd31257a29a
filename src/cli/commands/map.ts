import type { Command } from 'commander'
import { exitCodes } from '../../core/errors.js'
import { announce } from '../progress.js'
import { throughDoor } from '../throughDoor.js'
import { dayOfMaking } from '../today.js'

interface Options {
  readonly answers?: string
  readonly redo?: boolean
  readonly tables?: string
  readonly date?: string
}

/** Adds `holdfast map`: an interview about what the columns of a practice's own file mean. */
export function addMap(program: Command): void {
  program
    .command('map')
    .description(
      'ask what the sheets and columns of your file mean, say what was read, and save it beside the file',
    )
    .argument('<dataset>', 'folder, CSV file or workbook; never written to')
    .option('--answers <file>', 'answers to take first: of an earlier interview, or written by hand')
    .option('--redo', 'answer anew where a map is confirmed already; the old one is kept beside it')
    .option('--tables <dir>', 'also write what was read as the three tables, for looking at every cell')
    .option('--date <iso>', 'the day after which dates lie in the future, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast map export.xlsx\n  holdfast map export-2027.xlsx --answers export.xlsx.answers.json\n\nIt can be stopped at any question and taken up again. Without a terminal the open questions are written to a file (exit code 1).',
    )
    .action(map)
}

async function map(dataset: string, options: Options): Promise<void> {
  // Decided before the first question: a closed input would otherwise end as if all had been answered.
  const terminal = process.stdin.isTTY === true && process.stdout.isTTY === true
  const [{ runInterview }, { ask }] = await Promise.all([
    import('../interviewRun.js'),
    import('../interviewPrompts.js'),
  ])
  announce('reading')
  const done = await throughDoor(dataset, (door) =>
    runInterview(dataset, {
      door,
      today: dayOfMaking(options.date).day,
      redo: options.redo === true,
      say: (text) => process.stdout.write(`${text}\n`),
      ...(options.answers === undefined ? {} : { answers: options.answers }),
      ...(options.tables === undefined ? {} : { tables: options.tables }),
      ...(terminal ? { ask } : {}),
    }),
  )
  if (!done) process.exitCode = exitCodes.data
}

import type { Command } from 'commander'
import { UsageError } from '../../core/errors.js'
import { needsBrowser } from '../../documents/formats/formats.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { readNamed } from '../namedFiles.js'
import { dayOfMaking } from '../today.js'

/** Options of the command. */
interface Options {
  readonly protocol?: string
  readonly out?: string
  readonly exampleProtocol?: boolean
  readonly list?: boolean
  readonly shorterList?: boolean
  readonly rows?: boolean
  readonly skipRefused?: boolean
  readonly formats?: string
  readonly paper?: string
  readonly date?: string
}

/** Adds `holdfast pool`: the steps of the coordinator of a study group. */
export function addPool(program: Command): void {
  program
    .command('pool')
    .description(
      'coordinate a study group: make the list of those who are ready, add up their answers, and write the report',
    )
    .argument(
      '[paths...]',
      'folders or files that the practices sent; with --rows data sets in the shareable form',
    )
    .option('--protocol <file>', 'protocol file of the study group')
    .option('--out <dir>', 'folder of the release: for-sites/, report/, and the key of the coordinator')
    .option('--example-protocol', 'print a protocol file to start from, and stop')
    .option('--list', 'make the list of those who are ready')
    .option('--shorter-list', 'make the list again without those who have signed a void of it')
    .option('--rows', 'pool de-identified rows, where rules allow it')
    .option('--skip-refused', 'go on with the others where some files are refused')
    .option(
      '--formats <names>',
      'formats beside the page: markdown,word,pdf,png or none; default markdown,word',
    )
    .option(...paperOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast pool --example-protocol > group.json\n  holdfast pool received --protocol group.json --out release-1\n  holdfast pool received --protocol group.json --out release-1 --list\n  holdfast pool shareable-1 shareable-2 --protocol group.json --out study --rows',
    )
    .action(pool)
}

async function pool(paths: readonly string[], options: Options): Promise<void> {
  const { exampleProtocol, readProtocol } = await import('../../pooling/protocol/protocol.js')
  if (options.exampleProtocol === true) {
    process.stdout.write(`${JSON.stringify(exampleProtocol, undefined, 2)}\n`)
    return
  }
  if (paths.length === 0) throw notNamed('what the practices sent', 'one folder at least', 'received')
  if (options.protocol === undefined)
    throw notNamed('the protocol', '--protocol and its file', '--protocol group.json')
  if (options.out === undefined) throw notNamed('where to write', '--out and a folder', '--out release-1')
  const formats = formatsOf(options.formats)
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const agreed = readProtocol(await readNamed(options.protocol, 'the protocol'))
  const steps = await import('../coordinatorSteps.js')
  const printed = { formats, ...paperOf(options.paper) }
  const study = { agreed, out: options.out, ...printed, made: dayOfMaking(options.date) }
  if (options.rows === true) await steps.poolDatasets(paths, study)
  else await steps.coordinate(paths, study, options)
}

function notNamed(what: string, expected: string, example: string): UsageError {
  return new UsageError({
    code: 'not-named',
    problem: `${what} was not named.`,
    expected: `${expected}.`,
    mend: `write ${example}; holdfast pool --help shows examples.`,
  })
}

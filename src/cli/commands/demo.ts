import { type Command, InvalidArgumentError } from 'commander'
import { announce } from '../progress.js'

/** Adds `holdfast demo`: writes the generated demo data. */
export function addDemo(program: Command): void {
  program
    .command('demo')
    .description('write the generated demo data: five invented clinics, with the truth beside them')
    .argument('<dir>', 'folder to write to; made if it does not exist')
    .option('--seed <number>', 'another seed than that of data-demo', wholeNumber)
    .option(
      '--restorations <number>',
      'about how many restorations, instead of those of data-demo',
      wholeNumber,
    )
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast demo my-demo\n  holdfast demo large --seed 7 --restorations 20000',
    )
    .action(demo)
}

async function demo(directory: string, options: { seed?: number; restorations?: number }): Promise<void> {
  const [{ writeDemo }, { demoSettings }] = await Promise.all([
    import('../../demo/writeDemo.js'),
    import('../../demo/settings.js'),
  ])
  const settings = demoSettings(options)
  await writeDemo(directory, settings, { onProgress: (share) => announce('making', share) })
  process.stdout.write(`Generated demo data, seed ${settings.seed}, in ${directory}\n`)
}

function wholeNumber(text: string): number {
  if (!/^\d+$/.test(text)) throw new InvalidArgumentError('Expected a whole number.')
  return Number(text)
}

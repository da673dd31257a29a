import type { Command } from 'commander'

/** Adds `holdfast study`: a folder of one's own to work in, apart from the toolkit. */
export function addStudy(program: Command): void {
  program
    .command('study')
    .description(
      "make a folder of one's own to work in: notebooks, a plan, and what keeps records out of version control",
    )
    .argument('<dir>', 'folder of the study; what is there already stays as it is')
    .helpOption('--help', 'print this help')
    .addHelpText('after', '\nExamples:\n  holdfast study my-study')
    .action(study)
}

async function study(directory: string): Promise<void> {
  const { writeStudy } = await import('../../notebook/studyFolder.js')
  const { written, kept } = await writeStudy(directory)
  process.stdout.write(`Written in ${directory}: ${written.join(', ') || 'nothing'}\n`)
  if (kept.length > 0) process.stdout.write(`There already, and left as they are: ${kept.join(', ')}\n`)
}

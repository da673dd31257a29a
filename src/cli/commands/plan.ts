import type { Command } from 'commander'

/** Adds `holdfast plan`: the plan of the comparison, written before any result is shown. */
export function addPlan(program: Command): void {
  program
    .command('plan')
    .description('write the plan of the comparison, with its defaults explained, before any result is seen')
    .argument('<file>', 'new file, such as plan.json; a page that explains it is written beside it')
    .option('--date <day>', 'day on which the plan is made; default today')
    .option('--title <words>', 'a name for it')
    .helpOption('--help', 'print this help')
    .addHelpText('after', '\nExamples:\n  holdfast plan plan.json\n  holdfast audit records --plan plan.json')
    .action(plan)
}

interface PlanOptions {
  readonly date?: string
  readonly title?: string
}

async function plan(file: string, options: PlanOptions): Promise<void> {
  const [
    { writeNewFiles },
    { defaultPlan, parsePlan, planText },
    { explainedPlan },
    { defaultConfounders },
    { UsageError },
    { dayOfMaking },
  ] = await Promise.all([
    import('../newFiles.js'),
    import('../../questions/plan/planFile.js'),
    import('../planPage.js'),
    import('../../questions/comparison/confounders.js'),
    import('../../core/errors.js'),
    import('../today.js'),
  ])
  const text = planText({
    ...defaultPlan,
    // The plan names what is taken by default, so that leaving it as it is changes nothing.
    adjustFor: defaultConfounders.map((key) => (key === 'delivery_day' ? 'delivery_year' : key)) as never,
    written: dayOfMaking(options.date).iso,
    ...(options.title === undefined ? {} : { title: options.title }),
  })
  const made = parsePlan(text)
  const page = `${file.replace(/\.json$/i, '')}.md`
  try {
    // Neither file may take the place of another: a plan that could be rewritten would be none.
    await writeNewFiles([
      [page, explainedPlan(made)],
      [file, text],
    ])
  } catch (thrown) {
    throw new UsageError({
      code: 'file-there',
      problem: `the plan cannot be written: ${(thrown as NodeJS.ErrnoException).code ?? 'unknown reason'}.`,
      expected: 'a new file in a folder that is there.',
      mend: 'give another name; a plan that was made stays as it was.',
    })
  }
  process.stdout.write(
    `Plan of ${made.written} in ${file}, explained in ${page}.\nFingerprint (SHA-256): ${made.sha256}\nChange it before you look at results, and give it to audit with --plan; a change gives it another fingerprint.\n`,
  )
}

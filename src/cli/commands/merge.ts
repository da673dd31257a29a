import type { Command } from 'commander'
import type { RecordSet } from '../../records/dataset.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast merge`: joins last year's records of a practice with this year's. */
export function addMerge(program: Command): void {
  program
    .command('merge')
    .description(
      'join an earlier and a later export of the same practice, with the list of what is new, changed and gone',
    )
    .argument('<earlier>', 'data set of the earlier export; never written to')
    .argument('<later>', 'data set of the later export; never written to')
    .requiredOption('--out <dir>', 'folder for the joined records')
    .option('--shareable', 'both are shareable forms made with the same key file')
    .option(...setAsideOption)
    .option('--date <iso>', 'the day after which dates lie in the future, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast merge practice-2024 practice-2025 --out practice\n  holdfast merge shared-2024 shared-2025 --out shared --shareable',
    )
    .action(merge)
}

interface Options {
  readonly out: string
  readonly shareable?: boolean
  readonly setAside?: readonly string[]
  readonly date?: string
}

async function merge(earlier: string, later: string, options: Options): Promise<void> {
  const [{ readRecords }, { readShareable }, { mergeYears, writeMergedYears }] = await Promise.all([
    import('../../records/read/readDataset.js'),
    import('../../records/read/readShareable.js'),
    import('../../records/desk/mergeYears.js'),
  ])
  const { day } = dayOfMaking(options.date)
  const reading = { today: day, setAside: options.setAside ?? [] }
  const state = options.shareable === true ? 'shareable' : 'local'
  const read = (path: string): Promise<RecordSet> =>
    state === 'shareable' ? readShareable(path, reading) : readRecords(path, reading)
  const [before, after] = [await read(earlier), await read(later)]
  const merged = mergeYears(before, after)
  const generated = before.source.generated || after.source.generated
  await writeMergedYears(merged, state, options.out, { generated })
  const { added, changed, gone } = merged.comparison
  process.stdout.write(
    `Joined records in ${options.out}: ${added.length} restorations new, ${changed.length} values changed, ${gone.length} restorations gone from the later export and kept.\n`,
  )
}

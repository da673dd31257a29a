import { type Command, Option } from 'commander'
import { RecordError } from '../../core/errors.js'
import type { RecordSet } from '../../records/dataset.js'
import type { ChangeKind, Kept, MergedVersions, VersionChange } from '../../records/desk/mergeVersions.js'
import { announce } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { throughDoor } from '../throughDoor.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast merge`: joins an earlier version of the records of a practice with a later one. */
export function addMerge(program: Command): void {
  program
    .command('merge')
    .description(
      'join an earlier and a later export of the same practice, with the list of what was added, changed, retracted and gone',
    )
    .argument('<earlier>', 'data set of the earlier export; never written to')
    .argument('<later>', 'data set of the later export; never written to')
    .requiredOption('--out <dir>', 'folder for the joined records')
    .addOption(
      new Option(
        '--keep <version>',
        'what counts where they differ: the later export; both, where the later holds only what is new; or the earlier',
      ).choices(['later', 'both', 'earlier']),
    )
    .option('--shareable', 'both are shareable forms made with the same key file')
    .option(...setAsideOption)
    .option('--date <iso>', 'the day after which dates lie in the future, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nThe later export counts, unless it tells nothing of the past again: then you are asked, or say it by --keep.\n\nExamples:\n  holdfast merge practice-2024 practice-2025 --out practice\n  holdfast merge shared-2024 shared-2025 --out shared --shareable',
    )
    .action(merge)
}

interface Options {
  readonly out: string
  readonly keep?: Kept
  readonly shareable?: boolean
  readonly setAside?: readonly string[]
  readonly date?: string
}

async function merge(earlier: string, later: string, options: Options): Promise<void> {
  const [{ readRecords }, { readShareable }, { mergeVersions }, { writeMerged }] = await Promise.all([
    import('../../records/read/readDataset.js'),
    import('../../records/read/readShareable.js'),
    import('../../records/desk/mergeVersions.js'),
    import('../../records/desk/writeMerged.js'),
  ])
  const { day } = dayOfMaking(options.date)
  const reading = { today: day, setAside: options.setAside ?? [] }
  const state = options.shareable === true ? 'shareable' : 'local'
  const read = (path: string, which: string): Promise<RecordSet> => {
    const onProgress = (share: number): void => announce(`reading the ${which} export`, share)
    return state === 'shareable'
      ? readShareable(path, { ...reading, onProgress })
      : throughDoor(path, (door) => readRecords(path, { ...reading, door, onProgress }))
  }
  const [before, after] = [await read(earlier, 'earlier'), await read(later, 'later')]
  announce('joining')
  const mergeWith = (keep: Kept | undefined): MergedVersions =>
    mergeVersions(before, after, keep === undefined ? {} : { keep })
  const merged = await askedWhereOpen(options.keep, mergeWith)
  const generated = before.source.generated || after.source.generated
  await writeMerged(merged, state, options.out, { ...reading, generated })
  process.stdout.write(`Joined records in ${options.out}, with every difference in changes.csv.\n`)
  process.stdout.write(changesInWords(merged.changes))
}

/** Asks which version counts where only the user can know, and only where somebody sits at the terminal. */
async function askedWhereOpen(
  given: Kept | undefined,
  mergeWith: (keep: Kept | undefined) => MergedVersions,
): Promise<MergedVersions> {
  try {
    return mergeWith(given)
  } catch (error) {
    const isOpen = error instanceof RecordError && error.code === 'which-to-keep'
    if (!isOpen || process.stdin.isTTY !== true || process.stdout.isTTY !== true) throw error
  }
  const { select } = await import('@inquirer/prompts')
  const keep = await select<Kept>({
    message: 'The later export does not tell again most of what the earlier one told. What is it?',
    choices: [
      { name: 'It holds only what is new: keep the rows of both', value: 'both' },
      { name: 'It is the whole: what it lacks was withdrawn', value: 'later' },
      { name: 'The earlier one is right where they differ', value: 'earlier' },
    ],
  })
  return mergeWith(keep)
}

const told: readonly (readonly [of: VersionChange['of'], one: string, many: string])[] = [
  ['restoration', 'restoration', 'restorations'],
  ['event', 'event', 'events'],
  ['visit', 'visit', 'visits'],
  ['tightening', 'tightening', 'tightenings'],
]

const kinds: readonly ChangeKind[] = ['added', 'changed', 'retracted', 'gone', 'new key']

/** How many restorations, events, visits and tightenings differ in which way. */
function changesInWords(changes: readonly VersionChange[]): string {
  const lines = told.flatMap(([of, one, many]) => {
    const parts = kinds.flatMap((kind) => {
      const found = changes.filter((change) => change.of === of && change.what === kind)
      const rows = new Set(found.map(({ restoration_id, day }) => `${restoration_id} ${day}`)).size
      const words = kind === 'new key' ? 'under a new key' : kind
      const kept = kind === 'gone' && found.some((change) => change.stands === 'earlier') ? ' and kept' : ''
      return rows === 0 ? [] : [`${rows} ${words}${kept}`]
    })
    return parts.length === 0
      ? []
      : [`  ${parts.length === 1 && /^1 /.test(parts[0]!) ? one : many}: ${parts.join(', ')}\n`]
  })
  return lines.length === 0 ? '  The two say the same.\n' : lines.join('')
}

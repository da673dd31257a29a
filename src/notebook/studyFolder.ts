import { mkdir, readdir, readFile, stat } from 'node:fs/promises'
import { basename, join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { whileAlone } from '../core/alone.js'
import { UsageError } from '../core/errors.js'
import { writeWhole } from '../core/wholeFiles.js'
import { message, speaker } from '../messages/index.js'
import { defaultPlan, planText } from '../questions/plan/planFile.js'
import { version } from './version.js'

/** Files of a study, by their paths in it: those that were written, and those that stood there already. */
export interface WrittenStudy {
  readonly written: readonly string[]
  readonly kept: readonly string[]
}

const toolkit = fileURLToPath(new URL('../..', import.meta.url))

/** What never goes into version control: records, keys, ledgers, and what is made of records. */
const ignored = [
  'records/',
  'runs/',
  'reports/',
  'figures/',
  'node_modules/',
  '*.csv',
  '*.tsv',
  '*.xlsx',
  '*.xls',
  '*.ods',
  '*key*',
  '*ledger*',
  '*.pem',
  '.env',
  '.ipynb_checkpoints/',
]

/**
 * Makes the folder of a study: notebooks, a plan file to fill in, a README with the cautions, a folder for the records, and
 * an ignore file. Nothing that stands there is changed, so that it can be run again after an update.
 *
 * @throws UsageError `not-a-folder` where a file has that name
 */
export async function writeStudy(directory: string): Promise<WrittenStudy> {
  const folder = resolve(directory)
  const written: string[] = []
  const kept: string[] = []
  try {
    // First, so that the lock beside it has a place.
    await mkdir(folder, { recursive: true })
    await whileAlone(folder, async () => {
      for (const [path, content] of await studyFiles(directory)) {
        const target = join(folder, path)
        if (await isThere(target, directory)) kept.push(path)
        else {
          await writeWhole([{ path: target, content }])
          written.push(path)
        }
      }
    })
  } catch (cause) {
    const { code } = cause as { code?: string }
    throw code === 'ENOTDIR' || code === 'EEXIST' ? notAFolder(directory) : cause
  }
  return Object.freeze({ written: Object.freeze(written), kept: Object.freeze(kept) })
}

/** Whether a file stands there already; a folder of its name is refused. */
async function isThere(path: string, directory: string): Promise<boolean> {
  const found = await stat(path).catch((cause: NodeJS.ErrnoException) => {
    if (cause.code === 'ENOENT') return undefined
    throw cause
  })
  if (found?.isDirectory() === true) throw notAFolder(directory)
  return found !== undefined
}

async function studyFiles(directory: string): Promise<readonly (readonly [string, string])[]> {
  const folder = join(toolkit, 'notebooks')
  const names = (await readdir(folder)).filter((name) => name.endsWith('.ipynb')).sort()
  const notebooks = await Promise.all(
    names.map(async (name) => [`notebooks/${name}`, await studyNotebook(join(folder, name))] as const),
  )
  const { written: _written, source: _source, sha256: _sha256, ...fields } = { written: '', ...defaultPlan }
  return [
    ['README.md', `${speaker().text(message('study.readme'))}\n`],
    ['.gitignore', `${ignored.join('\n')}\n`],
    ['plan.json', `${planText(fields)}\n`],
    ['package.json', `${JSON.stringify(packageOf(basename(resolve(directory))), null, 2)}\n`],
    ['records/.gitkeep', ''],
    ...notebooks,
  ]
}

/** What is needed to run there: the version of Node, and the toolkit that the study was begun with. */
function packageOf(folder: string): object {
  const name =
    folder
      .toLowerCase()
      .replace(/[^a-z0-9-]+/g, '-')
      .replace(/^-+|-+$/g, '') || 'study'
  return {
    name,
    private: true,
    type: 'module',
    engines: { node: '>=20.19' },
    scripts: {
      pages: [
        'holdfast',
        'notebook',
        'notebooks/*.ipynb',
        ...['--data', 'records'],
        ...['--plan', 'plan.json'],
        ...['--out', 'runs'],
        '--html',
      ].join(' '),
    },
    holdfast: { begunWith: version },
  }
}

/** A notebook without outputs, which falls back on the records of the study. */
async function studyNotebook(path: string): Promise<string> {
  const notebook = JSON.parse(await readFile(path, 'utf8')) as { cells: Record<string, unknown>[] }
  const cells = notebook.cells.map((cell) =>
    cell.cell_type === 'code' ? { ...cell, outputs: [], execution_count: null } : cell,
  )
  return `${JSON.stringify({ ...notebook, cells }, null, 1)
    .replaceAll("'../data-demo'", "'../records'")
    .replaceAll("HOLDFAST_PLAN ?? ''", "HOLDFAST_PLAN ?? '../plan.json'")}\n`
}

function notAFolder(directory: string): UsageError {
  return new UsageError({
    code: 'not-a-folder',
    problem: `${directory} is no folder in which a study can be made.`,
    expected: 'a folder, or a name that is not taken.',
    mend: 'choose another name.',
  })
}

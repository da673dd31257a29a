// Installs the packed toolkit in an empty project, from the registry alone, and uses it there as its README says.
import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('..', import.meta.url))
const project = mkdtempSync(join(tmpdir(), 'other project é-'))

function run(command, args, directory = project) {
  return execFileSync(command, args, { cwd: directory, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] })
}

function expectThat(holds, what) {
  if (!holds) throw new Error(`from another project: ${what}`)
  console.log(`ok  ${what}`)
}

try {
  const [packed] = JSON.parse(
    run('npm', ['pack', '--json', '--ignore-scripts', '--pack-destination', project], root),
  )
  console.log(`${packed.entryCount} files, ${(packed.size / 2 ** 20).toFixed(1)} MB packed`)
  const unwanted = packed.files.filter(({ path }) =>
    /\.(map|tgz|tsbuildinfo|log)$|^dist\/(studies|verification\/simulation)\/|^docs\/(figures|pictures)|^(src|bench|scripts|reports)\/|^tests\/(?!reference\/)/.test(
      path,
    ),
  )
  expectThat(unwanted.length === 0, 'it holds what is needed and no more')
  const overrides = /```json overrides\n([\s\S]*?)```/.exec(readFileSync(join(root, 'README.md'), 'utf8'))[1]
  writeFileSync(
    join(project, 'package.json'),
    JSON.stringify({ name: 'other', private: true, type: 'module', ...JSON.parse(overrides) }),
  )
  run('npm', ['install', `./${packed.filename}`])
  expectThat(run('npx', ['holdfast', '--version']).trim() !== '', 'the command answers')
  run('npx', ['holdfast', 'demo', 'practice'])
  run('npx', ['holdfast', 'audit', 'practice', '--out', 'report'])
  expectThat(
    readFileSync(join(project, 'report', 'results.json'), 'utf8').startsWith('{'),
    'an audit is written',
  )
  writeFileSync(
    join(project, 'frames.mjs'),
    "import { toFrame } from 'holdfast'\nconst made = await toFrame([{ a: 1 }]).then((frame) => frame.shape.join('×'), (error) => error.code)\nconsole.log(made)\n",
  )
  expectThat(
    run('node', ['frames.mjs']).trim() === 'frames-not-installed',
    'without danfojs, frames say what is missing',
  )
  run('npm', ['install', './node_modules/holdfast/packages/tensors-refused', 'danfojs-node@1.2.0'])
  expectThat(run('node', ['frames.mjs']).trim() === '1×1', 'with danfojs, frames work')
  run('npm', ['install', '--no-save', 'typescript@5.9.3', '@types/node@20'])
  writeFileSync(
    join(project, 'types.ts'),
    "import { buildCohort, incidence, readRecords } from 'holdfast'\nconst cohort = buildCohort(await readRecords('practice', { today: 20_700 }))\nexport const events: number = incidence(cohort).overall.events\n",
  )
  run('npx', [
    'tsc',
    '--noEmit',
    '--strict',
    '--skipLibCheck',
    '--module',
    'nodenext',
    '--target',
    'es2022',
    'types.ts',
  ])
  expectThat(true, 'the types resolve')
  run('npx', [
    'holdfast',
    'notebook',
    'node_modules/holdfast/notebooks/02-how-often-do-screws-loosen.ipynb',
    '--data',
    'practice',
    '--out',
    'runs',
  ])
  expectThat(
    readFileSync(join(project, 'runs', '02-how-often-do-screws-loosen.ipynb'), 'utf8').includes('"cells"'),
    'a notebook runs',
  )
} finally {
  rmSync(project, { recursive: true, force: true })
}

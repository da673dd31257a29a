/**
 * Breaks the code of a room on purpose, one place at a time, and counts how many breaks the tests notice. A room is
 * dealt into parts by its top-level statements, by chance and always alike, so that one part is a fair sample of the
 * room and all parts together are the whole of it, in pieces that run overnight. What a part gave is kept in
 * docs/verification/mutation/, and docs/verification/mutation.md is written anew from all of them.
 *
 *   npm run mutate -- --room cohort --part 3 --of 20
 *   npm run mutate -- --room statistics --part 1 --of 100 --again   (only what survived in that part so far)
 *   npm run mutate -- --room statistics --page   (only the page, after a merge)
 */
import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join, relative } from 'node:path'
import { parseArgs } from 'node:util'
import ts from 'typescript'

const root = join(import.meta.dirname, '..')
const kept = join(root, 'docs/verification/mutation')

/** What is broken, the tests that ought to notice, and what does not count: names of codes, pages, examples. */
const rooms = {
  statistics: {
    under: ['src/statistics'],
    not: ['src/statistics/kernel/signatures.ts', 'src/statistics/index.ts'],
    tests: ['tests/statistics', 'tests/properties', 'tests/verification'],
  },
  cohort: { under: ['src/cohort'], not: [], tests: ['tests/cohort'], inProcess: true },
  answer: {
    under: [
      'src/questions/comparison',
      'src/questions/answer',
      'src/questions/howOften/answer.ts',
      'src/questions/incidence/answer.ts',
    ],
    not: [
      ...['balanceChart', 'chart', 'section', 'table', 'question', 'words'].map((one) => `comparison/${one}`),
      'answer/section',
      'answer/question',
    ].map((one) => `src/questions/${one}.ts`),
    tests: ['tests/questions'],
    // Pure functions, and practices made in memory: these run in one process (mutateInProcess.mjs). Left out are whole
    // audits of files, which take minutes for every break: what only they notice counts as not noticed.
    inProcess: true,
    without: [
      'tests/questions/comparison/forms.test.ts',
      'tests/questions/comparison/ownColumns.test.ts',
      'tests/questions/comparison/verdicts.test.ts',
      'tests/questions/comparison/words.test.ts',
      'tests/questions/asked.test.ts',
      'tests/questions/description.test.ts',
      'tests/questions/plan/planFile.test.ts',
      'tests/questions/referencePractice.test.ts',
      'tests/questions/whatElseMatters.test.ts',
    ],
  },
  pooling: {
    under: ['src/pooling'],
    not: [],
    tests: ['tests/pooling'],
    // Every edit of every message, a minute for each place: what it alone notices counts as not noticed.
    without: ['tests/pooling/refusals.test.ts'],
  },
}

const { values } = parseArgs({
  options: {
    room: { type: 'string' },
    part: { type: 'string', default: '1' },
    of: { type: 'string', default: '1' },
    again: { type: 'boolean', default: false },
    list: { type: 'boolean', default: false },
    page: { type: 'boolean', default: false },
  },
})
const room = rooms[values.room]
if (room === undefined) throw new Error(`--room is one of ${Object.keys(rooms).join(', ')}`)
const [part, of] = [Number(values.part), Number(values.of)]
if (!(Number.isInteger(part) && Number.isInteger(of) && part >= 1 && part <= of)) {
  throw new Error('--part K --of N: whole numbers, K from 1 to N')
}

function sourcesUnder(path) {
  if (path.endsWith('.ts')) return [path]
  return readdirSync(join(root, path), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts'))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)))
}

/** Test files of a room that run in one process. */
function testsOf({ tests, without = [] }) {
  return tests
    .flatMap(sourcesUnder)
    .filter((file) => file.endsWith('.test.ts') && !without.includes(file))
    .sort()
}

/** Lines of the top-level statements that belong to this part, as `file:from-to`. */
function rangesOf(file) {
  const source = ts.createSourceFile(file, readFileSync(join(root, file), 'utf8'), ts.ScriptTarget.Latest)
  const line = (at) => source.getLineAndCharacterOfPosition(at).line + 1
  return source.statements.flatMap((statement) => {
    if (ts.isImportDeclaration(statement) || ts.isInterfaceDeclaration(statement)) return []
    const text = statement.getText(source)
    const drawn = createHash('sha256').update(`${file}\n${text}`).digest().readUInt32BE(0)
    return drawn % of === part - 1
      ? [`${file}:${line(statement.getStart(source))}-${line(statement.end)}`]
      : []
  })
}

const name = `${values.room}-${String(part).padStart(3, '0')}-of-${of}`
const before = join(kept, `${name}.json`)
const files = room.under.flatMap(sourcesUnder).filter((file) => !room.not.includes(file))
const mutate = values.again
  ? [...new Set(JSON.parse(readFileSync(before, 'utf8')).survived.map(({ at }) => at))]
  : files.sort().flatMap(rangesOf)
if (values.list) {
  console.log(mutate.join('\n'))
  process.exit(0)
}

/** docs/verification/mutation.md, from all parts that were run. */
function writePage() {
  const parts = readdirSync(kept)
    .filter((file) => file.endsWith('.json'))
    .sort()
    .map((file) => JSON.parse(readFileSync(join(kept, file), 'utf8')))
  const names = [...new Set(parts.map((one) => one.room))]
  const rows = names.map((one) => {
    const own = parts.filter(({ room }) => room === one)
    const all = own.reduce((sum, { mutants }) => sum + mutants, 0)
    const left = own.reduce((sum, { survived }) => sum + survived.length, 0)
    // What a part gave before anybody had looked at it, where that was kept.
    const first = own.flatMap((one) => one.first ?? [])
    const sum = (what) => first.reduce((all, one) => all + one[what], 0)
    const share = (1 - left / all) * 100
    const error = Math.sqrt((share * (100 - share)) / all)
    const of = own.map(({ part, of }) => `${part} of ${of}`).join(', ')
    return `| ${one} | ${of} | ${all} | ${first.length === 0 ? '–' : `${sum('noticed')} of ${sum('of')}, ${((100 * sum('noticed')) / sum('of')).toFixed(1)} %`} | ${all - left} | ${share.toFixed(1)} % | ${error.toFixed(1)} |`
  })
  const survivors = parts.flatMap((one) => [
    '',
    `### ${one.room}, part ${one.part} of ${one.of}`,
    '',
    ...(one.without === undefined ? [] : [`Without ${one.without}.`, '']),
    ...(one.survived.length === 0 ? ['None.'] : []),
    ...one.survived.map(
      ({ at, what, by, reached }) =>
        `- \`${at}\` ${what}${reached === false ? ', reached by no test' : ''}: \`${by.replaceAll(/\s+/g, ' ').replaceAll('`', "'")}\``,
    ),
  ])
  const path = join(root, 'docs/verification/mutation.md')
  const head = readFileSync(path, 'utf8').split('<!-- written by scripts/mutate.mjs from here on -->')[0]
  writeFileSync(
    path,
    [
      `${head}<!-- written by scripts/mutate.mjs from here on -->`,
      '',
      '| room | parts | broken places | noticed at first sight | noticed | share | its error, points |',
      '|---|---|--:|--:|--:|--:|--:|',
      ...rows,
      '',
      '## What was not noticed',
      ...survivors,
      '',
    ].join('\n'),
  )
}

if (values.page) {
  writePage()
  process.exit(0)
}

const scratch = mkdtempSync(join(tmpdir(), 'mutate-'))
const tests = join(root, `.mutate.${process.pid}.vitest.config.mjs`)
try {
  if (room.inProcess !== true) {
    writeFileSync(
      tests,
      `export default { test: { include: ${JSON.stringify(room.tests.map((one) => `${one}/**/*.test.ts`))},
      exclude: ${JSON.stringify(['**/node_modules/**', 'tests/verification/simulation/**', 'tests/statistics/everyCall.test.ts', ...(room.without ?? [])])},
      isolate: false, testTimeout: 120000, hookTimeout: 240000 } }\n`,
    )
  }
  writeFileSync(
    join(scratch, 'stryker.json'),
    JSON.stringify({
      ...(room.inProcess === true
        ? {
            plugins: [join(root, 'scripts/mutateInProcess.mjs')],
            testRunner: 'in-process',
            inProcess: { tests: testsOf(room) },
          }
        : {
            plugins: ['@stryker-mutator/vitest-runner'],
            testRunner: 'vitest',
            vitest: { configFile: basename(tests), related: false },
          }),
      coverageAnalysis: 'perTest',
      mutate,
      // Texts are checked by their own tests, and codes by the compiler.
      mutator: { excludedMutations: ['StringLiteral'] },
      reporters: ['json', 'progress-append-only'],
      jsonReporter: { fileName: join(scratch, 'found.json') },
      concurrency: Number(process.env.HOLDFAST_MUTANTS_AT_ONCE ?? 1),
      ignorePatterns: ['/reports', '/notebooks', '/dist'],
      tempDirName: join(scratch, 'work'),
      timeoutMS: 30000,
      allowEmpty: true,
    }),
  )
  execFileSync(
    process.execPath,
    [join(root, 'node_modules/@stryker-mutator/core/bin/stryker.js'), 'run', join(scratch, 'stryker.json')],
    {
      cwd: root,
      stdio: 'inherit',
    },
  )
  const found = JSON.parse(readFileSync(join(scratch, 'found.json'), 'utf8'))
  const mutants = Object.entries(found.files).flatMap(([file, { mutants }]) =>
    mutants.map((one) => ({ file, ...one })),
  )
  const count = (...states) => mutants.filter(({ status }) => states.includes(status)).length
  const survived = mutants
    .filter(({ status }) => status === 'Survived' || status === 'NoCoverage')
    .map(({ file, location: { start, end }, mutatorName, replacement, status }) => ({
      at: `${file}:${start.line}:${start.column - 1}-${end.line}:${end.column - 1}`,
      what: mutatorName,
      by: replacement.slice(0, 80),
      ...(status === 'NoCoverage' ? { reached: false } : {}),
    }))
  mkdirSync(kept, { recursive: true })
  const places = count('Killed', 'Timeout', 'Survived', 'NoCoverage')
  const earlier = existsSync(before) ? JSON.parse(readFileSync(before, 'utf8')) : undefined
  const first = earlier === undefined ? { noticed: places - survived.length, of: places } : earlier.first
  const result = values.again
    ? { ...earlier, survived }
    : { room: values.room, part, of, mutants: places, first, survived }
  writeFileSync(before, `${JSON.stringify(result, null, 1)}\n`)
  console.log(`${name}: ${result.mutants - survived.length} of ${result.mutants} noticed`)
  writePage()
} finally {
  rmSync(tests, { force: true })
  rmSync(scratch, { recursive: true, force: true })
}

/**
 * Runs every notebook over ten practices and a broken data set: a page each, one index, none overwritten, the broken one
 * told and the rest done, and no word of a demonstration on a page of records that nobody generated. It takes about
 * twelve minutes and is run on request; tests/notebook/runOver.test.ts has the same in small.
 *
 *   node scripts/notebooksOverPractices.mjs [--practices 10] [--keep DIR] [NAME...]
 */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { runOver } from '../dist/notebook/runOver.js'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const { values, positionals } = parseArgs({
  options: { practices: { type: 'string', default: '10' }, keep: { type: 'string' } },
  allowPositionals: true,
})
const count = Number(values.practices)
const notebooks = readdirSync(join(root, 'notebooks'))
  .filter((name) => name.endsWith('.ipynb'))
  .filter((name) => positionals.length === 0 || positionals.some((one) => name.startsWith(one)))
  .sort()

function expectThat(holds, what) {
  if (!holds) throw new Error(`over practices: ${what}`)
  console.log(`ok  ${what}`)
}

/** A practice of its own: a share of the patients of the demo data, as plain tables that say nothing of where they are from. */
function practice(folder, part) {
  mkdirSync(folder, { recursive: true })
  for (const table of ['restorations', 'tightenings', 'visits']) {
    const [head, ...rows] = readFileSync(join(root, 'data-demo', `${table}.csv`), 'utf8')
      .trim()
      .split('\n')
    const own = rows.filter((row) => Number(/^P(\d+)/.exec(row)?.[1] ?? -1) % count === part)
    writeFileSync(join(folder, `${table}.csv`), `${[head, ...own].join('\n')}\n`)
  }
}

const scratch = values.keep ?? mkdtempSync(join(tmpdir(), 'over-practices-'))
try {
  const sets = Array.from({ length: count }, (_, part) => join(scratch, 'data', `practice-${part + 1}`))
  sets.forEach(practice)
  const broken = join(scratch, 'data', 'broken')
  mkdirSync(broken, { recursive: true })
  writeFileSync(join(broken, 'restorations.csv'), 'nothing\n1\n')
  sets.splice(Math.floor(count / 2), 0, broken)
  const out = join(scratch, 'run')
  const files = notebooks.map((name) => join(root, 'notebooks', name))
  const done = await runOver(files, sets, {
    out,
    code: false,
    parameters: {},
    cellSeconds: 600,
    memoryMb: 1024,
    onPage: (page, pages, name) => console.error(`${page} of ${pages}: ${name}`),
  })
  for (const { name, why } of done.failures) console.log(`told: ${name}: ${why.slice(0, 160)}`)
  expectThat(
    done.failures.map(({ name }) => name).join() === 'broken',
    'the broken data set is told, and nothing else fails',
  )
  const written = readdirSync(out, { recursive: true }).filter((name) => /[/\\].+\.html$/.test(name))
  // What a notebook itself writes lies deeper, in the folder of its practice.
  const pages = written.filter((name) => /^[^/\\]+[/\\][^/\\]+$/.test(name))
  expectThat(pages.length === count * notebooks.length, `${count * notebooks.length} pages, none overwritten`)
  const texts = written.map((name) => readFileSync(join(out, name), 'utf8'))
  const alike = texts.filter((text, i) => pages.includes(written[i]) && texts.indexOf(text) !== i)
  expectThat(alike.length === 0, 'no two pages are alike')
  const demo = written.filter((_, i) => /demo(?:nstration)?\b|generated data/i.test(texts[i]))
  expectThat(
    demo.length === 0,
    `no page and no document of a notebook, ${written.length} in all, says demo (${demo.join(', ')})`,
  )
  const index = readFileSync(done.indexPath, 'utf8')
  expectThat(
    pages.every((name) => index.includes(encodeURI(name))),
    'the index names every page',
  )
} finally {
  if (values.keep === undefined) rmSync(scratch, { recursive: true, force: true })
}

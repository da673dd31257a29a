/**
 * Writes one example of each kind of document from the demo data, with a fixed day of making, under reports/example-….
 * Pictures stand inside the page and the Word file, so that only these are kept in git. Run after `npm run build`.
 *
 *   node scripts/exampleReports.mjs          writes them
 *   node scripts/exampleReports.mjs --check  tells which are no longer what is made today, and ends with 1
 */
import { execFileSync } from 'node:child_process'
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join, resolve } from 'node:path'

const root = resolve(import.meta.dirname, '..')
const day = '2026-01-31'
const made = mkdtempSync(join(tmpdir(), 'examples-'))
const folder = (name) => join(made, name)
const holdfast = (...words) =>
  execFileSync(process.execPath, [join(root, 'dist/cli/main.js'), ...words, '--date', day], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'inherit'],
  })

/**
 * The report of a study group from the clinics of the demo data. Keys are random, and the report holds nothing of them
 * but the hash of the list, which is left out of the comparison.
 */
function studyGroup(out) {
  const main = join(root, 'dist/cli/main.js')
  const protocol = folder('group.json')
  const agreed = JSON.parse(execFileSync(process.execPath, [main, 'pool', '--example-protocol']))
  agreed.release.cutoff = '2025-06-30'
  writeFileSync(protocol, JSON.stringify(agreed))
  const received = folder('received')
  const names = ['A', 'B', 'C', 'D', 'E', 'F']
  const send = (name) => ['--practice', folder(`place-${name}`), '--out', received]
  const pool = (...words) => holdfast('pool', received, '--protocol', protocol, '--out', out, ...words)
  for (const [i, name] of names.entries()) {
    execFileSync(process.execPath, [
      main,
      'demo',
      folder(`records-${name}`),
      ...['--seed', String(i + 1), '--restorations', String(200 + 100 * i)],
    ])
    holdfast(
      'share',
      folder(`records-${name}`),
      '--protocol',
      protocol,
      '--name',
      `Practice ${name}`,
      ...send(name),
    )
  }
  pool('--list')
  for (const name of names) holdfast('share', '--list', join(out, 'for-sites', 'list-1.json'), ...send(name))
  pool()
}

/** What a reader sees: last bits of the numbers behind the text depend on the order of random pseudonyms. */
function shown(path) {
  const content = readFileSync(path)
  if (!path.endsWith('.html')) return content
  const text = content.toString('utf8').replace(/<data value="[^"]*"/g, '<data')
  return Buffer.from(text.replace(/[0-9a-f]{64}/g, 'hash'))
}

/** Each example: how it is made, and which of its files are kept. */
const examples = [
  [
    'audit',
    ['audit', 'data-demo', '--formats', 'word'],
    ['index.html', 'summary.html', 'report.html', 'supplement.html', 'report.docx'],
  ],
  ['outside', ['audit', 'data-demo', '--outside'], ['summary.html']],
  ['case-series', ['audit', 'data-demo', '--kind', 'case-series'], ['report.html', 'report.docx']],
  ['leaflet', ['audit', 'data-demo', '--kind', 'leaflet'], ['report.html', 'report.docx']],
  ['protocol', ['propose'], ['report.html', 'report.docx']],
  ['changes', ['changes', folder('audit'), 'data-demo/one-sheet.csv'], ['report.html']],
  ['study-group', studyGroup, ['report/report.html']],
]

const stale = []
try {
  for (const [name, words, kept] of examples) {
    if (typeof words === 'function') words(folder(name))
    else holdfast(...words, '--out', folder(name))
    const target = join(root, 'reports', `example-${name}`)
    mkdirSync(target, { recursive: true })
    for (const file of kept) {
      const fresh = join(folder(name), file)
      const old = join(target, basename(file))
      if (!process.argv.includes('--check')) copyFileSync(fresh, old)
      else if (!existsSync(old) || !shown(old).equals(shown(fresh)))
        stale.push(`example-${name}/${basename(file)}`)
    }
  }
} finally {
  rmSync(made, { recursive: true, force: true })
}
if (stale.length > 0) {
  process.stderr.write(
    `No longer what is made today: ${stale.join(', ')}. Run node scripts/exampleReports.mjs.\n`,
  )
  process.exitCode = 1
}

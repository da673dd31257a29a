/**
 * Writes one example of each kind of document from the demo data, with a fixed day of making, under reports/example-….
 * Pictures stand inside the page and the Word file, so that only these are kept in git. Run after `npm run build`.
 *
 *   node scripts/exampleReports.mjs          writes them
 *   node scripts/exampleReports.mjs --check  tells which are no longer what is made today, and ends with 1
 */
import { execFileSync } from 'node:child_process'
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'

const root = resolve(import.meta.dirname, '..')
const day = '2026-01-31'
const made = mkdtempSync(join(tmpdir(), 'examples-'))
const folder = (name) => join(made, name)
const holdfast = (...words) =>
  execFileSync(process.execPath, [join(root, 'dist/cli/main.js'), ...words, '--date', day], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'inherit'],
  })

/** Each example: how it is made, and which of its files are kept. */
const examples = [
  ['audit', ['audit', 'data-demo'], ['report.html', 'report.docx']],
  ['case-series', ['audit', 'data-demo', '--kind', 'case-series'], ['report.html', 'report.docx']],
  ['leaflet', ['audit', 'data-demo', '--kind', 'leaflet'], ['report.html', 'report.docx']],
  ['protocol', ['propose'], ['report.html', 'report.docx']],
  ['changes', ['changes', folder('audit'), 'data-demo/one-sheet.csv'], ['report.html']],
]

const stale = []
try {
  for (const [name, words, kept] of examples) {
    holdfast(...words, '--out', folder(name))
    const target = join(root, 'reports', `example-${name}`)
    mkdirSync(target, { recursive: true })
    for (const file of kept) {
      const fresh = join(folder(name), file)
      const old = join(target, file)
      if (!process.argv.includes('--check')) copyFileSync(fresh, old)
      else if (!existsSync(old) || !readFileSync(old).equals(readFileSync(fresh)))
        stale.push(`example-${name}/${file}`)
    }
  }
} finally {
  rmSync(made, { recursive: true, force: true })
}
if (stale.length > 0) {
  process.stderr.write(`No longer what is made today: ${stale.join(', ')}. Run node scripts/exampleReports.mjs.\n`)
  process.exitCode = 1
}

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
  cpSync,
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
 * The report of a study group from the summaries of the five demo clinics, through every round of the pooled model.
 * Pseudonyms are drawn at random; a key file with those of the clinics keeps them the same from run to run.
 */
function studyGroup(out) {
  const practice = folder('practice')
  cpSync(join(root, 'data-demo'), practice, { recursive: true })
  const clinic_id = Object.fromEntries(
    ['A', 'B', 'C', 'D', 'E'].map((name, index) => [`clinic_${name}`, `C${index + 1}DEMO0${index + 1}`]),
  )
  const key = JSON.stringify({ holdfastKey: 1, pseudonyms: { clinic_id }, shifts: {} })
  writeFileSync(join(practice, 'holdfast-key.json'), key, { mode: 0o600 })
  const protocol = folder('group.json')
  const main = join(root, 'dist/cli/main.js')
  writeFileSync(protocol, execFileSync(process.execPath, [main, 'pool', '--example-protocol']))
  const agreed = ['--protocol', protocol, '--out']
  const pool = () => holdfast('pool', folder('sent'), ...agreed, out)
  holdfast('share', practice, ...agreed, folder('sent'))
  pool()
  for (let round = 1; existsSync(join(out, 'rounds', `request-${round}.json`)); round++) {
    const request = join(out, 'rounds', `request-${round}.json`)
    holdfast('share', practice, ...agreed, folder('sent'), '--round', request)
    pool()
  }
}

/** What a reader sees: last bits of the numbers behind the text depend on the order of random pseudonyms. */
function shown(path) {
  const content = readFileSync(path)
  if (!path.endsWith('.html')) return content
  return Buffer.from(content.toString('utf8').replace(/<data value="[^"]*"/g, '<data'))
}

/** Each example: how it is made, and which of its files are kept. */
const examples = [
  ['audit', ['audit', 'data-demo', '--formats', 'word'], ['report.html', 'report.docx']],
  ['case-series', ['audit', 'data-demo', '--kind', 'case-series'], ['report.html', 'report.docx']],
  ['leaflet', ['audit', 'data-demo', '--kind', 'leaflet'], ['report.html', 'report.docx']],
  ['protocol', ['propose'], ['report.html', 'report.docx']],
  ['changes', ['changes', folder('audit'), 'data-demo/one-sheet.csv'], ['report.html']],
  ['study-group', studyGroup, ['report/report.html', 'report/report.docx']],
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

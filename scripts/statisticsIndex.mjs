// Writes docs/statistics-index.md: every public estimator with its first sentence and example, from the docstrings.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

const root = join(import.meta.dirname, '..')
const folder = join(root, 'src/statistics')
const known = new Set(
  [...readFileSync(join(folder, 'kernel/signatures.ts'), 'utf8').matchAll(/^ {2}(\w+): \[/gm)].map(
    (one) => one[1],
  ),
)
const titles = {
  curves: 'Curves and risks over time',
  groupTests: 'Tests between curves',
  hazardModels: 'Models of hazards',
  imputation: 'Missing values',
  intervalCensored: 'Events between two looks',
  kernel: 'Risk sets and clusters',
  means: 'Means, ranks and spreads',
  meta: 'Many studies together',
  monitoring: 'Watching over time',
  numeric: 'Splines',
  planning: 'Planning',
  proportions: 'Shares',
  rates: 'Rates',
  regression: 'Models of numbers, shares and counts',
  resampling: 'Resampling',
  sensitivity: 'What could be wrong',
  weighting: 'Groups that were not drawn by lot',
}
const sections = new Map()
for (const file of readdirSync(folder, { recursive: true }).sort()) {
  if (!file.endsWith('.ts')) continue
  const text = readFileSync(join(folder, file), 'utf8')
  for (const [, doc, name] of text.matchAll(
    /\/\*\*((?:(?!\*\/)[\s\S])*)\*\/\nexport const (\w+) = checked\(/g,
  )) {
    if (!known.has(name)) continue
    const plain = doc.replace(/^\s*\* ?/gm, '').trim()
    const words = plain.split(/\n\s*\n|\n@/)[0].replace(/\s+/g, ' ')
    const first = /^.*?\.(?= [A-Z]|$)/.exec(words)?.[0] ?? words
    const example = /@example (.+)/.exec(plain)?.[1] ?? ''
    const section = titles[dirname(file)] ?? dirname(file)
    sections.set(section, [...(sections.get(section) ?? []), `- **${name}**: ${first}\n  \`${example}\``])
  }
}
const body = [...sections]
  .sort(([a], [b]) => (a < b ? -1 : 1))
  .map(([title, lines]) => `## ${title}\n\n${lines.sort().join('\n')}\n`)
const text = `# Estimators by task\n\nImport from \`holdfast/statistics\`. Made by scripts/statisticsIndex.mjs from the docstrings; the tests run every example.\n\n${body.join('\n')}`
writeFileSync(join(root, 'docs/statistics-index.md'), text)
console.log(`${body.length} tasks, ${[...sections.values()].flat().length} functions`)

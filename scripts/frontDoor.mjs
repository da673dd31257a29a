// Writes docs/front-door.md: every name of `holdfast` by task, with its first sentence and example, from the docstrings.
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import ts from 'typescript'

const root = join(import.meta.dirname, '..')
const door = readFileSync(join(root, 'src/index.ts'), 'utf8')

/** Names that have a value, by the comment line above them. */
const sections = []
for (const line of door.split(/\n(?=\/\/ |export )/)) {
  const title = /^\/\/ (.+)/.exec(line)?.[1]
  if (title !== undefined) sections.push([title, []])
  const exported = /^export \{([^}]*)\} from '(.+)'/.exec(line)
  if (exported === null) continue
  const names = exported[1].split(',').map((one) => one.trim())
  for (const one of names.filter((name) => name !== '' && !name.startsWith('type '))) {
    const [declared, shown = declared] = one.split(' as ')
    sections
      .at(-1)[1]
      .push({ shown, ...docOf(exported[2].replace(/^\.\//, '').replace(/\.js$/, '.ts'), declared) })
  }
}

function docOf(file, name) {
  const path = join(root, 'src', file)
  if (!existsSync(path)) throw new Error(`${file} is not there`)
  const source = ts.createSourceFile(path, readFileSync(path, 'utf8'), ts.ScriptTarget.Latest, true)
  const node = source.statements.find((one) =>
    ts.isVariableStatement(one)
      ? one.declarationList.declarations.some((each) => each.name.getText() === name)
      : one.name?.getText() === name,
  )
  const doc = node?.jsDoc?.at(-1)
  if (doc === undefined) throw new Error(`${name} has no docstring in ${file}`)
  const words =
    ts
      .getTextOfJSDocComment(doc.comment)
      ?.split(/\n\s*\n/)[0]
      .replace(/\s+/g, ' ') ?? ''
  const example = /@example (.+)/.exec(doc.getText())?.[1]
  if (example === undefined) throw new Error(`${name} has no example in ${file}`)
  return { first: /^.*?\.(?= [A-Z]|$)/.exec(words)?.[0] ?? words, example }
}

const body = sections.map(
  ([title, names]) =>
    `## ${title}\n\n${names.map(({ shown, first, example }) => `- **${shown}**: ${first}\n  \`${example}\``).join('\n')}\n`,
)
const text = `# Questions by task

Import from \`holdfast\`; estimators for columns of numbers are in \`holdfast/statistics\`
([index](statistics-index.md)). Made by scripts/frontDoor.mjs from the docstrings; the tests run every example. In the
examples \`records\` are the demo data, \`cohort\` is what \`buildCohort\` makes of them, and \`audit\` what \`auditCohort\` does.

${body.join('\n')}`
const path = join(root, 'docs/front-door.md')
if (process.argv.includes('--check')) process.exitCode = readFileSync(path, 'utf8') === text ? 0 : 1
else writeFileSync(path, text)

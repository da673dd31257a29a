/**
 * Runs the examples of docs/methods and writes their output beneath them.
 * A page's example is a block fenced with ```js, followed by a block fenced with ```text that holds its output.
 *
 *   node scripts/docExamples.mjs           rewrites the outputs
 *   node scripts/docExamples.mjs --check   exits with 1 where an output differs
 */
import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = join(root, 'docs', 'methods')
const check = process.argv.includes('--check')
const example = /```js\n([\s\S]*?)```\s*\n```text\n([\s\S]*?)```/g

let differing = 0
let examples = 0
for (const page of readdirSync(folder).filter((name) => name.endsWith('.md'))) {
  const text = readFileSync(join(folder, page), 'utf8')
  let renewed = text
  for (const [block, code, output] of text.matchAll(example)) {
    examples += 1
    const found = await outputOf(code)
    if (found !== output) {
      differing += 1
      console.error(`${page}: output differs\n--- on the page\n${output}--- computed\n${found}`)
    }
    renewed = renewed.replace(block, () => `\`\`\`js\n${code}\`\`\`\n\n\`\`\`text\n${found}\`\`\``)
  }
  if (!check && renewed !== text) writeFileSync(join(folder, page), renewed)
}
console.log(`${examples} examples run, ${differing} ${check ? 'differ' : 'renewed'}`)
if (check && differing > 0) process.exitCode = 1

/**
 * Standard output of an example, run as a module of the project so that it imports the built package by name. All run in this
 * process, each as a module of its own: the package is loaded once, not a hundred times.
 */
async function outputOf(code) {
  const file = join(root, 'docs', `.example-${process.pid}-${examples}.mjs`)
  const write = process.stdout.write
  let printed = ''
  try {
    writeFileSync(file, code)
    process.stdout.write = (text) => {
      printed += text
      return true
    }
    await import(pathToFileURL(file).href)
    return printed
  } finally {
    process.stdout.write = write
    rmSync(file, { force: true })
  }
}

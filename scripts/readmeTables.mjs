/**
 * Writes the table of `holdfast verify` into the README.
 *
 *   node scripts/readmeTables.mjs
 */
import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const table = execFileSync(process.execPath, [join(root, 'dist/cli/main.js'), 'verify'], { encoding: 'utf8' })
const path = join(root, 'README.md')
const text = readFileSync(path, 'utf8')
writeFileSync(
  path,
  text.replace(/<!-- verify -->[\s\S]*?<!-- \/verify -->/, `<!-- verify -->\n${table}<!-- /verify -->`),
)

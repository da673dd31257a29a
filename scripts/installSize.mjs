/**
 * What an installation weighs and how long it takes, dependency by dependency: each is installed by itself in an empty
 * folder with an empty cache, without scripts, so that what two share counts for both; then all together.
 *
 *   node scripts/installSize.mjs [--all]     --all: also how long each takes; else sizes of what is installed here
 */
import { execFileSync } from 'node:child_process'
import { existsSync, lstatSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

const root = join(import.meta.dirname, '..')
const { dependencies } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'))
const lock = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')).packages

if (process.argv.includes('--all')) timed()
else sizes()

/** From the lock file and the folders here: what each brings, and what it alone brings. */
function sizes() {
  const reached = Object.fromEntries(Object.keys(dependencies).map((name) => [name, reachedFrom(name)]))
  const rows = Object.entries(reached).map(([name, all]) => {
    const others = new Set(
      Object.entries(reached).flatMap(([other, found]) => (other === name ? [] : [...found])),
    )
    const own = [...all].filter((path) => !others.has(path))
    const native = [...all].flatMap((path) => nativeParts(join(root, path)))
    return { name, packages: all.size, all: megabytes(all), own: megabytes(own), native }
  })
  rows.sort((one, other) => other.all - one.all)
  console.log(
    '| package | packages | MB with all it needs | MB that only it needs | native parts |\n|---|---|---|---|---|',
  )
  for (const { name, packages, all, own, native } of rows)
    console.log(
      `| ${name} | ${packages} | ${all.toFixed(1)} | ${own.toFixed(1)} | ${native.length === 0 ? '' : native.join(', ')} |`,
    )
  const together = new Set(Object.values(reached).flatMap((found) => [...found]))
  console.log(`| together | ${together.size} | ${megabytes(together).toFixed(1)} | | |`)
}

/** Paths of the lock file that are needed by a package, itself included; optional parts for other systems are not here. */
function reachedFrom(name) {
  const found = new Set()
  const visit = (path) => {
    if (found.has(path) || !existsSync(join(root, path))) return
    found.add(path)
    const {
      dependencies: needs = {},
      optionalDependencies: may = {},
      peerDependencies: peers = {},
    } = lock[path] ?? {}
    for (const need of Object.keys({ ...needs, ...may, ...peers })) {
      const place = placeOf(need, path)
      if (place !== undefined) visit(place)
    }
  }
  visit(`node_modules/${name}`)
  return found
}

/** Where Node finds a package from inside another: the nearest folder outwards. */
function placeOf(name, from) {
  for (let at = from; ; at = at.slice(0, Math.max(0, at.lastIndexOf('/node_modules/')))) {
    const place = at === '' ? `node_modules/${name}` : `${at}/node_modules/${name}`
    if (lock[place] !== undefined && lock[place].link !== true) return place
    if (at === '') return undefined
  }
}

function filesOf(folder) {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name)
    if (entry.name === 'node_modules') return []
    return entry.isDirectory() ? filesOf(path) : [path]
  })
}

function megabytes(paths) {
  let bytes = 0
  for (const path of paths) for (const file of filesOf(join(root, path))) bytes += lstatSync(file).size
  return bytes / 2 ** 20
}

function nativeParts(folder) {
  return filesOf(folder)
    .filter((file) => /\.node$/.test(file))
    .map((file) => file.slice(folder.length + 1))
    .filter((file) => !/musl|darwin|win32|arm64/.test(file))
    .map((file) => `${folder.slice(folder.lastIndexOf('node_modules/') + 13)}/${file}`)
}

/** What is installed by itself: a package, or all of one publisher that come in small pieces. */
function pieces() {
  const pieces = {}
  for (const [name, version] of Object.entries(dependencies)) {
    const piece = name.startsWith('@stdlib/') ? '@stdlib/*' : name
    pieces[piece] = { ...pieces[piece], [name]: version }
  }
  return Object.entries(pieces)
}

/** Seconds of `npm install` for each by itself and for all, with an empty cache each time. */
function timed() {
  const { overrides } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'))
  for (const [name, needs] of [...pieces(), ['together', dependencies]]) {
    const folder = mkdtempSync(join(tmpdir(), 'install-'))
    try {
      const { 'danfojs-node': _unused, ...others } = overrides
      writeFileSync(
        join(folder, 'package.json'),
        JSON.stringify({ private: true, dependencies: needs, overrides: others }),
      )
      const begun = performance.now()
      const words = [
        'install',
        '--ignore-scripts',
        '--no-audit',
        '--no-fund',
        '--cache',
        join(folder, 'cache'),
      ]
      execFileSync('npm', words, { cwd: folder, stdio: 'ignore' })
      console.log(`${name}: ${((performance.now() - begun) / 1000).toFixed(1)} s`)
    } finally {
      rmSync(folder, { recursive: true, force: true })
    }
  }
}

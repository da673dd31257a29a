import { readdirSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { Command } from 'commander'
import { describe, expect, it } from 'vitest'
import { addOwnPage } from '../../src/cli/commands/ownPage.js'
import { ownQuestions } from '../../src/questions/registry.js'

const root = join(import.meta.dirname, '../..')

/** Every command with the options that it has, subcommands by their full name. */
async function optionsOfCommands(): Promise<ReadonlyMap<string, ReadonlySet<string>>> {
  const program = new Command('holdfast').version('0', '--version')
  for (const name of readdirSync(join(root, 'src/cli/commands'))) {
    const module = (await import(join(root, 'src/cli/commands', name))) as Record<string, unknown>
    for (const [key, add] of Object.entries(module)) {
      if (/^add[A-Z]/.test(key) && key !== 'addOwnPage') (add as (to: Command) => void)(program)
    }
  }
  for (const question of ownQuestions) addOwnPage(program, question)
  const found = new Map<string, ReadonlySet<string>>()
  const visit = (command: Command, path: string): void => {
    found.set(path, new Set(['--help', ...command.options.map((one) => one.long!)]))
    for (const one of command.commands) visit(one, `${path} ${one.name()}`.trim())
  }
  visit(program, '')
  return found
}

/** Code that speaks to a browser, and programs of their own with options of their own. */
const elsewhere = /^src\/(?:documents\/formats\/pdf|studies\/|verification\/simulation\/)/

/** Every text of the code and of the messages in which an option may be named. */
function texts(): readonly { readonly file: string; readonly text: string }[] {
  const files = readdirSync(join(root, 'src'), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(?:ts|json)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
  const pages = ['README.md', ...readdirSync(join(root, 'docs')).map((name) => `docs/${name}`)]
    .filter((name) => name.endsWith('.md'))
    .map((name) => join(root, name))
  return [...files, ...pages]
    .map((file) => ({ file: relative(root, file), text: readFileSync(file, 'utf8') }))
    .filter(({ file }) => !elsewhere.test(file))
}

/** Options of other programs that the code calls or the docs name. */
const ofOthers = new Set([
  '--cpu-prof',
  '--ignore-scripts',
  '--expose-gc',
  '--heap-growing-percent',
  '--initial-old-space-size',
  '--no-concurrent-marking',
  '--no-parallel-scavenge',
  '--no-warnings',
  '--max-old-space-size',
  '--save-dev',
  '--save',
  '--import',
  '--mode',
  '--test',
  '--prefix',
  '--version',
])

/** Options that benchmarks and scripts of the project read, each by the name under which it is parsed. */
function optionsOfScripts(): readonly string[] {
  return ['bench', 'scripts'].flatMap((folder) =>
    readdirSync(join(root, folder))
      .filter((name) => name.endsWith('.mjs'))
      .flatMap((name) => {
        const text = readFileSync(join(root, folder, name), 'utf8')
        const parsed = [...text.matchAll(/^ +'?([a-z-]+)'?: \{ type: '(?:string|boolean)'/gm)]
        const asked = [...text.matchAll(/includes\('--([a-z-]+)'\)|\b(?:value|list)\('([a-z-]+)'/g)]
        return [...parsed, ...asked].map(([, first, second]) => `--${first ?? second}`)
      }),
  )
}

describe('options that messages and docs name', () => {
  it('exist', async () => {
    const commands = await optionsOfCommands()
    const all = new Set([...[...commands.values()].flatMap((options) => [...options]), ...optionsOfScripts()])
    const unknown = texts().flatMap(({ file, text }) =>
      [...text.matchAll(/(?<![\w-])--[a-z][a-z-]+(?![\w-]*[(:;=]|[\w-]*\))/g)]
        .map(([option]) => option.replace(/-$/, ''))
        .filter((option) => !all.has(option) && !ofOthers.has(option))
        .map((option) => `${file}: ${option}`),
    )
    expect([...new Set(unknown)]).toEqual([])
  })

  it('exist on the command that is named with them', async () => {
    const commands = await optionsOfCommands()
    const wrong = texts().flatMap(({ file, text }) =>
      [...text.matchAll(/holdfast ([a-z]+)([^\n`'"]*)/g)].flatMap(([, name, rest]) => {
        const parts = rest!.trim().split(/\s+/)
        const sub = commands.has(`${name} ${parts[0]}`) ? `${name} ${parts[0]}` : name!
        const options = commands.get(sub)
        if (options === undefined) return []
        return [...(/^[^.;]*/.exec(rest!)?.[0] ?? '').matchAll(/(?<!\w)--[a-z][a-z-]+/g)]
          .filter(([option]) => !options.has(option))
          .map(([option]) => `${file}: holdfast ${sub} ${option}`)
      }),
    )
    expect([...new Set(wrong)]).toEqual([])
  })
})

import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { UsageError } from '../core/errors.js'
import { writePractice } from './practices/folder.js'
import { drawPractice } from './practices/practice.js'
import type { Scenario } from './practices/scenario.js'
import { scenarioNamed, scenarios } from './practices/scenarios.js'
import { computeTruth } from './practices/truth.js'
import { runScenario, seedOfPractice } from './run.js'
import { type Tally, tallyHeader, tallyRow } from './tally.js'

const usage = `Audits practices with a known truth, and counts what the audits say.

  list                       the scenarios, and what may be claimed of each
  run [NAME...]              audit practices of these scenarios, or of all
    --practices N            practices a scenario; default 40
    --seed N                 seed of the first practice; default 1
    --jobs N                 audits at a time; default 2
    --out FILE               also write the counts as JSON
  write NAME FOLDER          write one practice as CSV files
    --seed N
  truths [NAME...]           compute the truth of every scenario, as the source of knownTruths.ts
`

function named(name: string): Scenario {
  const found = scenarioNamed(name)
  if (found !== undefined) return found
  throw new UsageError({
    code: 'no-such-scenario',
    problem: `There is no scenario of the name ${name}.`,
    expected: `one of ${scenarios.map((one) => one.name).join(', ')}.`,
    mend: 'Run with the word list to see what each is.',
  })
}

function line(cells: readonly string[]): void {
  process.stdout.write(`| ${cells.join(' | ')} |\n`)
}

function writeTruths(wanted: readonly Scenario[]): void {
  const round = (_: string, value: unknown): unknown =>
    typeof value === 'number' ? Number(value.toPrecision(7)) : value
  const byTraits = new Map<string, string>()
  for (const scenario of wanted) {
    const { restorations: _, recall: __, recording: ___, later: ____, ...behind } = scenario.traits
    const key = JSON.stringify(behind)
    const text = byTraits.get(key) ?? JSON.stringify(computeTruth(scenario.traits), round)
    byTraits.set(key, text)
    process.stdout.write(`  '${scenario.name}': ${text},\n`)
  }
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      practices: { type: 'string', default: '40' },
      seed: { type: 'string', default: '1' },
      jobs: { type: 'string', default: '2' },
      out: { type: 'string' },
    },
  })
  const [command, ...rest] = positionals
  if (command === 'list') {
    for (const { name, about, mayClaim } of scenarios) line([name, about, mayClaim])
  } else if (command === 'truths') {
    writeTruths(rest.length > 0 ? rest.map(named) : scenarios)
  } else if (command === 'write' && rest.length === 2) {
    writePractice(
      drawPractice(named(rest[0]!).traits, seedOfPractice(Number(values.seed), 0)).tables,
      rest[1]!,
    )
  } else if (command === 'run') {
    const options = {
      practices: Number(values.practices),
      seed: Number(values.seed),
      jobs: Number(values.jobs),
    }
    const tallies: Tally[] = []
    line(tallyHeader)
    line(tallyHeader.map(() => '---'))
    for (const scenario of rest.length > 0 ? rest.map(named) : scenarios) {
      const tally = await runScenario(scenario, options)
      tallies.push(tally)
      line(tallyRow(tally))
      if (values.out !== undefined)
        writeFileSync(values.out, `${JSON.stringify({ options, tallies }, undefined, 1)}\n`)
    }
  } else {
    process.stdout.write(usage)
  }
}

await main()

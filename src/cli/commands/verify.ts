import { fileURLToPath } from 'node:url'
import type { Command } from 'commander'
import { exitCodes, UsageError } from '../../core/errors.js'
import type { CaseOutcome } from '../../verification/verify.js'
import { announce } from '../progress.js'

/** Adds `holdfast verify`: the proof of an installation against values from outside the project. */
export function addVerify(program: Command): void {
  program
    .command('verify')
    .description("run the toolkit's own functions on reference cases and compare every number")
    .argument('[folder]', 'folder of reference cases; without it, those that ship with the project')
    .option('--topic <name>', 'only this topic')
    .option('--kinds', 'list the kinds of case, each with the options that it reads, and run nothing')
    .option('--json', 'print the summary as JSON')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast verify\n  holdfast verify --topic cox\n  holdfast verify my-cases --json',
    )
    .action(verify)
}

async function verify(
  folder: string | undefined,
  options: { topic?: string; json?: boolean; kinds?: boolean },
): Promise<void> {
  const { readReferenceCases } = await import('../../verification/referenceCase.js')
  const { allAgree, summariseByTopic, verifyCase } = await import('../../verification/verify.js')
  const shipped = fileURLToPath(new URL('../../../tests/reference', import.meta.url))
  const all = readReferenceCases(folder ?? shipped)
  if (options.kinds === true) {
    const { kindsRead } = await import('../../verification/kinds.js')
    for (const [kind, read] of kindsRead(all)) process.stdout.write(`${kind}: ${read.join(', ')}\n`)
    return
  }
  const cases = options.topic === undefined ? all : all.filter((one) => one.topic === options.topic)
  if (cases.length === 0) {
    throw new UsageError({
      code: 'no-such-topic',
      problem: `there is no topic ${options.topic}.`,
      expected: `one of ${[...new Set(all.map((one) => one.topic))].join(', ')}.`,
      mend: 'name one of these, or leave --topic out.',
    })
  }
  const outcomes = cases.map((one, index) => {
    announce('computing', index / cases.length)
    return verifyCase(one)
  })
  const topics = summariseByTopic(outcomes)
  if (options.json === true) {
    process.stdout.write(`${JSON.stringify({ topics: Object.fromEntries(topics) }, null, 2)}\n`)
  } else {
    const { topicTable } = await import('../../verification/topicTable.js')
    process.stdout.write(topicTable(topics))
    for (const line of outcomes.flatMap(troubles)) process.stdout.write(`${line}\n`)
  }
  if (!allAgree(outcomes)) process.exitCode = exitCodes.data
}

/** Lines that name what disagrees or was not computed in one case. */
function troubles(outcome: CaseOutcome): readonly string[] {
  const name = `${outcome.topic}/${outcome.id} (${outcome.kind})`
  if (outcome.failure !== undefined) return [`${name}: failed: ${outcome.failure}`]
  const shown = 5
  const disagreements = outcome.disagreements
    .slice(0, shown)
    .map((one) => `${name}: ${one.path} is ${one.computed}, expected ${one.expected}`)
  const missing = outcome.uncomputed.slice(0, shown).map((path) => `${name}: ${path} not computed`)
  const more =
    Math.max(0, outcome.disagreements.length - shown) + Math.max(0, outcome.uncomputed.length - shown)
  return [...disagreements, ...missing, ...(more > 0 ? [`${name}: and ${more} more`] : [])]
}

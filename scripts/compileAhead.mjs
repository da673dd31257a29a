/**
 * Runs an audit of the demo data with the gathered programs, draws its figures, and keeps what the engine compiled on the way
 * beside each program: later runs of the same engine need not compile it again, others do as if it were not there. Part of the
 * build.
 */
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setFlagsFromString } from 'node:v8'
import { gatheredFiles, gatheredProgram } from '../dist/cli/gathered.js'

const kept = ['command', 'answers', 'pictures']
for (const name of kept) rmSync(gatheredFiles(name).compiled, { force: true })
const programs = kept.map((name) => gatheredProgram(name))
if (!programs.includes(undefined)) {
  try {
    await compileAhead(...programs)
  } catch (cause) {
    const reason = cause instanceof Error ? cause.message : String(cause)
    process.stderr.write(`The command will compile itself anew each time it runs: ${reason}\n`)
  }
}

async function compileAhead(command, answers, pictures) {
  const folder = mkdtempSync(join(tmpdir(), 'holdfast-build-'))
  // What a run needs once is kept too; the flag must stand as it stood when the program is compiled for keeping.
  setFlagsFromString('--no-flush-bytecode')
  const say = process.stdout.write
  process.stdout.write = () => true
  try {
    const { run } = await command.parts.commandLine()
    const report = join(folder, 'report')
    const code = await run(['audit', join(import.meta.dirname, '../data-demo'), '--out', report])
    if (code !== 0) throw new Error('the demo data could not be audited')
    await (await answers.parts.answersThread()).rehearsed
    await (await pictures.parts.pictureThread()).rehearsed
    await drawAgain(await pictures.parts.render(), join(report, 'figures'))
    setFlagsFromString('--flush-bytecode')
    for (const program of programs) program.keepCompiled()
    if (!kept.every((name) => existsSync(gatheredFiles(name).compiled)))
      throw new Error('dist cannot be written to')
  } finally {
    process.stdout.write = say
    rmSync(folder, { recursive: true, force: true })
  }
}

/** The figures were drawn in a thread: some of them again, here. */
async function drawAgain({ drawChart }, folder) {
  for (const name of readdirSync(folder)
    .filter((one) => one.endsWith('.json'))
    .slice(0, 12))
    await drawChart(JSON.parse(readFileSync(join(folder, name), 'utf8')))
}

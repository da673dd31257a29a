import {
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'

// As built: what was compiled belongs to the built program.
const { gatheredFiles, gatheredProgram } = (await import(
  new URL('../../dist/cli/gathered.js', import.meta.url).href
)) as typeof import('../../src/cli/gathered.js')

const folder = mkdtempSync(join(tmpdir(), 'holdfast-gathered-'))
afterAll(() => rmSync(folder, { recursive: true }))

const built = gatheredFiles('command')
const kept = readFileSync(built.compiled)

/** The built program with other bytes in the place of what was compiled of it. */
function beside(bytes: Uint8Array): ReturnType<typeof gatheredProgram<'command'>> {
  const path = join(folder, 'command.compiled')
  writeFileSync(path, bytes)
  return gatheredProgram('command', { ...built, compiled: pathToFileURL(path) })
}

async function versionOf(
  program: ReturnType<typeof gatheredProgram<'command'>>,
): Promise<string | undefined> {
  const { makeProgram } = await program!.parts.commandLine()
  return makeProgram([]).version()
}

describe('the program in one file', () => {
  it('takes what was compiled of it when it was built', async () => {
    const program = beside(kept)
    expect(program?.compiledBefore).toBe(true)
    expect(await versionOf(program)).toMatch(/^\d+\.\d+\.\d+$/)
  })

  it.each(['answers', 'pictures'] as const)('has the %s compiled when it was built, too', async (name) => {
    expect(gatheredProgram(name)?.compiledBefore).toBe(true)
  })

  it.each([
    ['is damaged', Uint8Array.from(kept, (byte, at) => (at === kept.length - 1000 ? byte ^ 1 : byte))],
    ['is cut short', kept.subarray(0, kept.length >> 1)],
    ['is empty', new Uint8Array(0)],
    ['belongs to another program', Buffer.concat([Buffer.from(`// ${'0'.repeat(64)}`), kept.subarray(67)])],
  ])('works without it where it %s', async (_what, bytes) => {
    const program = beside(bytes)
    expect(program?.compiledBefore).toBe(false)
    expect(await versionOf(program)).toMatch(/^\d+\.\d+\.\d+$/)
  })

  it('keeps what was compiled of it where nothing is kept that it can take, and leaves what it took', async () => {
    const path = join(folder, 'first.compiled')
    const files = { ...built, compiled: pathToFileURL(path) }
    const first = gatheredProgram('command', files)
    await versionOf(first)
    writeFileSync(`${path}.1-0.part`, 'what was being kept when the command before was ended')
    first!.keepCompiled()
    const second = gatheredProgram('command', files)
    expect(second?.compiledBefore).toBe(true)
    writeFileSync(path, 'what an older engine compiled')
    second!.keepCompiled()
    expect(readFileSync(path, 'utf8')).toBe('what an older engine compiled')
    const third = gatheredProgram('command', files)
    await versionOf(third)
    third!.keepCompiled()
    expect(gatheredProgram('command', files)?.compiledBefore).toBe(true)
    expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([])
  })

  it('imports what is left outside of it, also as the engine had compiled it', async () => {
    const program = pathToFileURL(join(folder, 'small.cjs'))
    const compiled = pathToFileURL(join(folder, 'small.compiled'))
    writeFileSync(
      program,
      `// ${'1'.repeat(64)}\nmodule.exports.parts={commandLine:()=>importHere('node:os')}`,
    )
    const files = { program, compiled }
    for (const before of [false, true]) {
      const loaded = gatheredProgram('command', files)!
      expect(loaded.compiledBefore).toBe(before)
      expect(await loaded.parts.commandLine()).toHaveProperty('EOL')
      loaded.keepCompiled()
    }
    for (const name of ['command', 'answers', 'pictures', 'reading'] as const)
      expect(readFileSync(gatheredFiles(name).program, 'latin1').match(/(?<![\w.$])import\(/g)).toBeNull()
    expect(readFileSync(built.program, 'latin1')).toContain('importHere("@duckdb/node-api")')
  })

  it('says nothing where the folder cannot be written to', () => {
    const compiled = pathToFileURL(join(folder, 'nowhere', 'holdfast.compiled'))
    const program = gatheredProgram('command', { ...built, compiled })!
    expect(() => program.keepCompiled()).not.toThrow()
    expect(existsSync(compiled)).toBe(false)
  })

  it('is not there where it was not gathered, or modules were built after it', () => {
    const program = pathToFileURL(join(folder, 'holdfast.cjs'))
    expect(gatheredProgram('command', { ...built, program })).toBeUndefined()
    writeFileSync(program, '')
    utimesSync(program, 0, 0)
    expect(gatheredProgram('command', { ...built, program })).toBeUndefined()
  })
})

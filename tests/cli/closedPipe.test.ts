import { spawn } from 'node:child_process'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'

const root = join(import.meta.dirname, '../..')

/** Runs a command whose reader has gone before it prints, as `| head` is after its lines. */
function readByNobody(
  ...words: readonly string[]
): Promise<{ readonly code: number | null; readonly told: string }> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [join(root, 'dist/cli/main.js'), ...words], { cwd: root })
    let told = ''
    child.stderr.on('data', (piece: Buffer) => {
      told += piece.toString()
    })
    child.stdout.destroy()
    child.once('close', (code) => resolve({ code, told }))
  })
}

describe('a reader that closes the pipe', () => {
  it.each([
    ['help', ['propose', '--help']],
    ['what is wrong with the records', ['check', 'data-demo']],
    ['reference cases', ['verify']],
  ])('ends no command with a fault: %s', async (_what, words) => {
    expect(await readByNobody(...words)).toEqual({ code: 0, told: '' })
  })
})

import { PassThrough } from 'node:stream'
import { describe, expect, it } from 'vitest'
import { startProgress, startStages } from '../../src/cli/progress.js'

function terminal(isTTY: boolean) {
  const stream = Object.assign(new PassThrough(), { isTTY, columns: 80 })
  const seen: string[] = []
  stream.on('data', (chunk: Buffer) => seen.push(chunk.toString()))
  return { stream, seen: () => seen.join('') }
}

describe('progress', () => {
  it('names each stage and its share from two seconds on, counted over all stages', () => {
    let milliseconds = 0
    const { stream, seen } = terminal(true)
    const progress = startStages({ stream, elapsed: () => milliseconds })
    milliseconds = 1_900
    progress.update('reading', 0.9)
    expect(seen()).toBe('')
    milliseconds = 2_100
    progress.update('computing', 0.25)
    expect(seen()).toMatch(/computing .*25%/)
    expect(seen()).not.toContain('reading')
    progress.update('writing', 0)
    expect(seen()).toMatch(/writing .*0%/)
    progress.stop()
  })

  it('says nothing where it is not a terminal', () => {
    const { stream, seen } = terminal(false)
    const progress = startProgress('reading', { stream, elapsed: () => 10_000 })
    progress.update(0.5)
    progress.stop()
    expect(seen()).toBe('')
  })
})

import { spawnSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { engineFlags, engineFlagsForMany } from '../../src/cli/engineFlags.js'

describe('the engine', () => {
  it('is given the flags that it knows', () => {
    const flags = [...engineFlags(process.versions.v8), ...engineFlagsForMany(process.versions.v8)]
    const said = spawnSync(process.execPath, [
      '-e',
      flags.map((flag) => `require('node:v8').setFlagsFromString('${flag}')`).join(';'),
    ])
    expect(String(said.stderr)).toBe('')
    // Node 20 has 11.3, Node 22 has 12.4 and Node 24 has 13.6, which dropped the first.
    expect(engineFlags('11.3.244.8-node.33')).toHaveLength(3)
    expect(engineFlags('12.4.254.21-node.56')).toEqual(engineFlags('13.6.233.17-node.45'))
    expect(engineFlags('12.4.254.21-node.56').join()).not.toContain('interrupt')
    expect([...engineFlags('15.0.1'), ...engineFlagsForMany('15.0.1')]).toEqual([])
  })
})

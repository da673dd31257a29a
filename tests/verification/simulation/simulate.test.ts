import { describe, expect, it } from 'vitest'
import { simulate } from '../../../src/verification/simulation/simulate.js'
import { simulationStudies } from '../../../src/verification/simulation/studies.js'
import type { SimulationStudy, StudyRun } from '../../../src/verification/simulation/study.js'

function study(name: string, ran: StudyRun[]): SimulationStudy {
  return {
    name,
    question: `Is ${name} right?`,
    page: 'docs/verification/page.md',
    run: async (settings) => {
      ran.push(settings)
      for (const share of [0.01, 0.05, 0.5, 1]) settings.onProgress('groups', share)
      return `| ${name} |`
    },
  }
}

async function run(words: readonly string[]) {
  const ran: StudyRun[] = []
  const written = { out: '', err: '' }
  const code = await simulate(words, [study('first', ran), study('second', ran)], {
    out: (text) => {
      written.out += text
    },
    err: (text) => {
      written.err += text
    },
  })
  return { code, ran, ...written }
}

describe('the simulation command', () => {
  it('lists the studies where none is named', async () => {
    const { code, out, ran } = await run([])
    expect([code, ran.length]).toEqual([0, 0])
    expect(out).toBe(
      'first: Is first right? (plan and result: docs/verification/page.md)\nsecond: Is second right? (plan and result: docs/verification/page.md)\nRun one with: npm run simulate -- NAME, or all of them with: npm run simulate -- all\n',
    )
  })

  it('runs those named, or all, and reports progress by tenths', async () => {
    const one = await run(['second', '--replicates', '7'])
    expect(one.code).toBe(0)
    expect(one.out).toBe('## second\n\nIs second right?\n\n| second |\n')
    expect(one.ran.map((settings) => settings.replicates)).toEqual([7])
    expect(one.err).toBe('groups 0%\ngroups 50%\ngroups 100%\n')
    expect((await run(['all'])).ran).toHaveLength(2)
  })

  it('refuses a study that is not there and a number that makes no sense', async () => {
    const unknown = await run(['third'])
    expect(unknown.code).toBe(2)
    expect(unknown.err).toContain(
      'there is no study third. Expected: one of first, second, or all. Mend: name one of these.',
    )
    const number = await run(['first', '--replicates', '0'])
    expect(number.code).toBe(2)
    expect(number.err).toContain(
      'the number of replicates makes no sense. Expected: a whole number, at least 1. Mend: give another number, or leave it out for the planned one.',
    )
    expect((await run(['first', '--what'])).code).toBe(2)
    expect(number.ran).toHaveLength(0)
  })

  it('has studies with names of their own', () => {
    expect(simulationStudies.map((one) => one.name)).toContain('demo-coverage')
    expect(new Set(simulationStudies.map((one) => one.name)).size).toBe(simulationStudies.length)
  })
})

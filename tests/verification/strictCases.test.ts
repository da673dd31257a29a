import { describe, expect, it } from 'vitest'
import { type ReferenceCase, readReferenceCases } from '../../src/verification/referenceCase.js'
import { verifyCase } from '../../src/verification/verify.js'

const cases = readReferenceCases(new URL('../reference', import.meta.url).pathname)

function caseOf(id: string, topic: string, options: Record<string, unknown>): ReferenceCase {
  const found = cases.find((one) => one.id === id && one.topic === topic)!
  return { ...found, options: { ...found.options, ...options } }
}

describe('a reference case', () => {
  it.each([
    ['a number', { trim: 0.1 }, 'trim'],
    ['a switch', { robustly: true }, 'robustly'],
    ['a list', { horizons: [10, 20] }, 'horizons'],
    ['the name of a column', { wieghts: 'age' }, 'wieghts (did you mean weights?)'],
    [
      'a part of the model',
      { model: { time: 'time', event: 'status', covariates: ['age'], wts: 'sex' } },
      'model.wts',
    ],
  ])('fails loudly over an option that is not read: %s', (_what, options, named) => {
    const outcome = verifyCase(caseOf('lung_4cov_efron', 'cox', options))
    expect(outcome.failure).toContain(`options of kind cox that it does not read: ${named}`)
    expect(outcome.failure).toContain('It looked at: cluster, conf, model,')
    expect(outcome.uncomputed).toEqual(['all'])
  })

  it('may carry remarks, which name no column', () => {
    const outcome = verifyCase(
      caseOf('lung_4cov_efron', 'cox', { reading: 'rows in the order of the table' }),
    )
    expect(outcome.failure).toBeUndefined()
    expect(outcome.disagreements).toEqual([])
  })

  it('counts only the rows of its subset', () => {
    const outcome = verifyCase(caseOf('lung_4cov_efron', 'cox', { subset: { 'ph.ecog': [0, 1] } }))
    expect(outcome.failure).toBeUndefined()
    expect(outcome.disagreements.map((one) => one.path)).toContain('n')
  })

  it('of an unknown kind is told the nearest one', () => {
    const outcome = verifyCase({ ...caseOf('lung_4cov_efron', 'cox', {}), kind: 'cox.fraility' })
    expect(outcome.failure).toBe(
      'the toolkit has no kind cox.fraility (did you mean cox.frailty?); verify --kinds lists them.',
    )
  })

  it('has one reading: without clusters where neither options nor id name them', () => {
    const renamed = { ...caseOf('weights_small_cluster', 'cox', {}), id: 'weights_small_rows' }
    expect(verifyCase(renamed).disagreements.map((one) => one.path)).toContain('se_robust.x')
    const named = { ...renamed, options: { ...renamed.options, cluster: 'cl' } }
    expect(verifyCase(named).disagreements).toEqual([])
  })
})

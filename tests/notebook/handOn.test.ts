import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { notebookHtml } from '../../src/notebook/notebookHtml.js'
import { openPlan } from '../../src/notebook/openPlan.js'
import { openRecords } from '../../src/notebook/openRecords.js'

const demo = join(import.meta.dirname, '../../data-demo')

describe('a page that is handed on', () => {
  const cell = (source: string, ...tags: readonly string[]) => ({
    cell_type: 'code',
    metadata: { tags: [...tags] },
    source,
    outputs: [{ output_type: 'stream', name: 'stdout', text: `shown of ${source}` }],
    execution_count: 1,
  })
  const cells = [cell('code-a', 'appendix'), cell('code-b'), cell('code-c', 'keep'), cell('code-d', 'hide')]
  const notebook = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells }

  it('shows results without code, what is tagged keep with it, hides what is tagged hide, and ends with the appendix', () => {
    const page = notebookHtml(notebook, { handOn: true })
    expect(page).not.toContain('code-d')
    expect([...page.matchAll(/<code>(.*?)<\/code>/g)].map(([, code]) => code)).toEqual(['code-c'])
    const order = ['shown of code-b', 'shown of code-c', 'Appendix', 'shown of code-a'].map((one) =>
      page.indexOf(one),
    )
    expect(order).toEqual([...order].sort((a, b) => a - b))
    expect(order[0]).toBeGreaterThan(0)
  })

  it('is not made where it is not asked for: tags change nothing', () => {
    const page = notebookHtml(notebook)
    expect([...page.matchAll(/<code>(.*?)<\/code>/g)].map(([, code]) => code)).toEqual([
      'code-a',
      'code-b',
      'code-c',
      'code-d',
    ])
    expect(page).not.toContain('Appendix')
  })
})

describe('a run', () => {
  it('takes the records as they stood at the end of a day', async () => {
    const all = buildCohort(await openRecords(demo))
    const then = buildCohort(await openRecords(demo, { until: '2021-12-31' }))
    expect(then.n).toBeLessThan(all.n)
    expect(then.n).toBeGreaterThan(100)
    expect(then.summary.deliveryYears.last).toBeLessThanOrEqual(2021)
    await expect(openRecords(demo, { until: '31.12.2021' })).rejects.toMatchObject({ code: 'bad-date' })
  }, 60_000)

  it('follows the default plan, which carries no day, where no file is named', async () => {
    const plan = await openPlan()
    expect([plan.source, plan.written]).toEqual(['default', undefined])
    await expect(openPlan('nowhere.json')).rejects.toMatchObject({ code: 'no-plan-file' })
  })
})

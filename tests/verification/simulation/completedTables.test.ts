import { describe, expect, it } from 'vitest'
import { completedTablesStudy } from '../../../src/verification/simulation/completedTables.js'
import { hasPage } from './tables.js'

describe('the study of completed tables', () => {
  it('has its plan and result in the documentation', () => {
    expect(hasPage(completedTablesStudy)).toBe(true)
  })
})

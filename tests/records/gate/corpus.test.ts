import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { identifierOfValue } from '../../../src/records/identities/identifierValues.js'
import { corpus, type Labelled } from './corpus.js'

const isNamed = ({ text }: Labelled): boolean => identifierOfValue(text) !== undefined

/** Rows of a table for the docs: class, how many, how many of them named. */
function byClass(labelled: readonly Labelled[]): readonly string[] {
  return [...new Set(labelled.map((one) => one.class))].map((name) => {
    const of = labelled.filter((one) => one.class === name)
    return `| ${name} | ${of.length} | ${of.filter(isNamed).length} |`
  })
}

describe('the corpus of values and sentences', () => {
  const identifying = corpus('identifying')
  const harmless = corpus('harmless')

  it('has at least 300 of each, and none twice', () => {
    for (const texts of [identifying, harmless]) {
      expect(texts.length).toBeGreaterThanOrEqual(300)
      expect(new Set(texts.map((one) => one.text)).size).toBe(texts.length)
    }
  })

  it('is named in at least 97 of 100 identifying texts', () => {
    const missed = identifying.filter((one) => !isNamed(one))
    expect(missed.map((one) => one.text)).toEqual([])
  })

  it('is named in at most 3 of 100 harmless texts', () => {
    const named = harmless.filter(isNamed)
    expect(named.map((one) => one.text)).toEqual([])
  })

  it('is named in at least 97 of 100 later texts of each class, and in at most 3 of 100 harmless ones', () => {
    const later = corpus('later-identifying')
    for (const name of new Set(later.map((one) => one.class))) {
      const of = later.filter((one) => one.class === name)
      expect(of.filter(isNamed).length / of.length, name).toBeGreaterThanOrEqual(0.97)
    }
    const innocent = corpus('later-harmless')
    expect(innocent.filter(isNamed).length / innocent.length).toBeLessThan(0.03)
  })

  it('stands by class in the docs as it is measured', () => {
    const page = readFileSync(join(import.meta.dirname, '../../../docs/records-gate.md'), 'utf8')
    const later = [...byClass(corpus('later-identifying')), ...byClass(corpus('later-harmless'))]
    for (const row of [...byClass(identifying), ...byClass(harmless), ...later]) expect(page).toContain(row)
  })
})

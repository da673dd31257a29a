import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { answersSchema, parseAnswers } from '../../../src/records/interview/answers.js'

const header = { holdfastAnswers: 1 }

describe('a file of answers', () => {
  it('has the shape that the documents give', () => {
    const published = JSON.parse(readFileSync('docs/schema/intake-answers.schema.json', 'utf8'))
    expect(published).toEqual(JSON.parse(JSON.stringify(answersSchema())))
  })

  it('takes answers written among the open questions for those in their place', () => {
    const open = [
      { where: ['sheets', '*', 'rows'], answer: 'visit' },
      { where: ['sheets', '*', 'columns', 'Zahn', 'scheme'], answer: 'iso-3950' },
      { where: ['right'], answer: null },
    ]
    const sheets = { '*': { columns: { Zahn: 'tooth_position' } } }
    expect(parseAnswers(JSON.stringify({ ...header, sheets, open }), 'a.json')).toEqual({
      ...header,
      sheets: { '*': { rows: 'visit', columns: { Zahn: { field: 'tooth_position', scheme: 'iso-3950' } } } },
    })
  })

  it.each([
    ['no JSON', '{', 'they are no JSON'],
    [
      'a key that is not there',
      JSON.stringify({ ...header, sheets: { '*': { row: 'visit' } } }),
      'sheets › *: unrecognized key: "row"',
    ],
    [
      'a field that is not there',
      JSON.stringify({ ...header, sheets: { '*': { columns: { A: { field: 'toth' } } } } }),
      'sheets › *',
    ],
  ])('refuses %s', (_what, text, words) => {
    expect(() => parseAnswers(text, 'a.json')).toThrow(words)
    expect(() => parseAnswers(text, 'a.json')).toThrow('Expected: answers as docs/intake.md describes them.')
  })
})

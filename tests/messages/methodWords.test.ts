import { expect, test } from 'vitest'
import { catalogueOf, languages } from '../../src/messages/catalogue.js'
import { methodCode, methodWords, plainMethodWords } from '../../src/messages/methodWords.js'
import { speaker } from '../../src/messages/speaker.js'

test('a method is worded term by term', () => {
  const name = 'difference, Aalen–Johansen, infinitesimal jackknife over patients'
  expect(speaker().text(methodWords(name))).toBe(name)
  expect(speaker('de').text(methodWords(name))).toBe(
    'Differenz, Aalen–Johansen, infinitesimaler Jackknife über Personen',
  )
  expect(speaker('de').text(plainMethodWords(name))).toBe(
    'Aalen–Johansen, infinitesimaler Jackknife über Personen',
  )
  expect(speaker('de').text(methodWords('a way of next year, Wilson score'))).toBe(
    'a way of next year, Score-Intervall nach Wilson',
  )
})

test('the code of a term follows from the term, and the English words are the term itself', () => {
  for (const [code, words] of catalogueOf('en'))
    if (code.startsWith('method.')) expect(methodCode(words)).toBe(code)
  const german = [...catalogueOf('en').keys()].filter(
    (code) => code.startsWith('method.') && !catalogueOf('de').has(code),
  )
  expect(german).toEqual([])
  expect(languages()).toContain('de')
})

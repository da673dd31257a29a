import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { hasTerm, methodOf, oncePerMethod, term, withoutTerm, withTerm } from '../../src/core/method.js'
import { catalogueOf, languages } from '../../src/messages/catalogue.js'
import { methodWords, plainMethodWords } from '../../src/messages/methodWords.js'
import { speaker } from '../../src/messages/speaker.js'

test('a method is worded term by term', () => {
  const name = methodOf('difference', 'aalen-johansen', 'infinitesimal-jackknife-over-patients')
  expect(speaker().text(methodWords(name))).toBe(
    'difference, Aalen–Johansen, infinitesimal jackknife over patients',
  )
  expect(speaker('de').text(methodWords(name))).toBe(
    'Differenz, Aalen–Johansen, infinitesimaler Jackknife über Personen',
  )
  expect(speaker('de').text(plainMethodWords(name))).toBe(
    'Aalen–Johansen, infinitesimaler Jackknife über Personen',
  )
  expect(speaker().text(plainMethodWords(methodOf('difference')))).toBe('difference')
})

test('a term takes numbers as each language writes them', () => {
  const name = methodOf(
    'propensity-weights',
    term('scores-trimmed', { lowest: 0.05, highest: 0.95 }),
    term('restricted-cubic-spline', { knots: 5 }),
    term('seed', { seed: 20260504 }),
  )
  expect(speaker().text(methodWords(name))).toBe(
    'propensity weights, scores trimmed to 0.05–0.95, restricted cubic spline with 5 knots, seed 20260504',
  )
  expect(speaker('de').text(methodWords(name))).toBe(
    'Propensity-Gewichte, Scores beschnitten auf 0,05–0,95, restringierter kubischer Spline mit 5 Knoten, Startwert 20260504',
  )
})

test('names are composed, changed and told apart by their codes, and are what they were in a file', () => {
  const curve = methodOf('product-limit', 'greenwood-variance', term('restricted-cubic-spline', { knots: 3 }))
  expect(JSON.parse(JSON.stringify(curve))).toEqual([
    'product-limit',
    'greenwood-variance',
    { code: 'restricted-cubic-spline', parameters: { knots: 3 } },
  ])
  expect(Object.isFrozen(curve)).toBe(true)
  expect(methodOf(...curve, 't-reference')).toHaveLength(4)
  expect(hasTerm(curve, 'restricted-cubic-spline')).toBe(true)
  expect(hasTerm(curve, 'none')).toBe(false)
  expect(withTerm(curve, 'product-limit', 'reverse-product-limit')[0]).toBe('reverse-product-limit')
  expect(withoutTerm(curve, 'greenwood-variance')).toHaveLength(2)
  const other = methodOf('product-limit', 'greenwood-variance', term('restricted-cubic-spline', { knots: 4 }))
  const named = [curve, other, methodOf(...curve)].map((method) => ({ method, reference: 'splines' }))
  expect(oncePerMethod(named).map(({ method }) => method)).toEqual([curve, other])
})

test('every term has its words in English and in German', () => {
  const terms = (language: string) =>
    [...catalogueOf(language).keys()].filter((code) => code.startsWith('method.')).sort()
  expect(languages()).toContain('de')
  expect(terms('de')).toEqual(terms('en'))
  const alike = terms('en').filter((code) => catalogueOf('en').get(code) === catalogueOf('de').get(code))
  const unnamed = alike.filter(
    (code) => !/^\p{Lu}\p{L}*(?:–\p{Lu}\p{L}*)*$/u.test(catalogueOf('en').get(code)!),
  )
  expect(unnamed, 'only names of people are alike in both').toEqual(['method.robust', 'method.t'])
})

test('every term is one that some method names', () => {
  // A composed code, as `${scale}-interval`, names every code that begins and ends as it does.
  const sources = readdirSync('src', { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('.ts') && !/^messages|codes\.ts$/.test(file))
    .map((file) => readFileSync(join('src', file), 'utf8'))
  const written = new Set(
    sources.flatMap((text) => [...text.matchAll(/'([a-z][a-z0-9-]*)'/g)].map(([, code]) => code)),
  )
  const composed = sources
    .flatMap((text) => [...text.matchAll(/`([a-z0-9-]*)\$\{[^`]*\}([a-z0-9-]*)`/g)])
    .filter(([, start, end]) => /^-|-$/.test(`${end}`.slice(0, 1) + `${start}`.slice(-1)))
  const unused = [...catalogueOf('en').keys()]
    .filter((code) => code.startsWith('method.'))
    .map((code) => code.slice('method.'.length))
    .filter(
      (code) =>
        !written.has(code) &&
        !composed.some(([, start, end]) => code.startsWith(start!) && code.endsWith(end!)),
    )
  expect(unused).toEqual([])
})

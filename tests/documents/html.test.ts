import { createHash } from 'node:crypto'
import { beforeAll, describe, expect, test } from 'vitest'
import { pageScript } from '../../src/documents/formats/pageScript.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { resultsJson } from '../../src/documents/results.js'
import { type FormatName, numberFormats } from '../../src/messages/numberFormats.js'
import { renderAuditHtml } from './auditHtml.js'
import { fixtures } from './fixture.js'
import { resolvePath } from './resolvePath.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const pages = new Map<string, string>()

beforeAll(async () => {
  for (const name of Object.keys(fixtures)) pages.set(name, await renderAuditHtml(fixtures[name]!(), options))
})

describe.each(Object.keys(fixtures))('the page of %s', (name) => {
  const page = (): string => pages.get(name)!

  test('holds every section, with an answer before anything else', () => {
    const ids = [...page().matchAll(/<section id="([^"]+)"/g)].map((match) => match[1])
    expect(ids).toEqual([
      'answer',
      'incidence',
      'retention',
      'comparison',
      'words',
      'cohort',
      'quality',
      'definitions',
      'methods',
      'limitations',
      'cautions',
      'provenance',
    ])
  })

  test('cuts every picture to a frame of its own: no two parts of the page share a name', () => {
    const ids = [...page().matchAll(/<[a-zA-Z][^>]*? id="([^"]+)"/g)].map((match) => match[1]!)
    expect(ids.filter((id, at) => ids.indexOf(id) !== at)).toEqual([])
    const pictures = page().match(/<svg[\s\S]*?<\/svg>/g) ?? []
    for (const picture of pictures) {
      for (const [, id] of picture.matchAll(/url\(#([^)]+)\)/g)) expect(picture).toContain(`id="${id}"`)
    }
  })

  test('shows no number that is none', () => {
    const text = page().replace(/<(style|script)>.*?<\/\1>/gs, '')
    expect(text).not.toMatch(/\bNaN\b|\bundefined\b|\bInfinity\b|\[object|>null</)
  })

  test('has each identifier once, and no pointer to nowhere', () => {
    const ids = [...page().matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!)
    const outsideFigures = ids.filter((id) => !/^part\d+$/.test(id))
    expect(new Set(outsideFigures).size).toBe(outsideFigures.length)
    for (const [, target] of page().matchAll(/href="#([^"]+)"/g)) expect(ids).toContain(target)
    for (const [, target] of page().matchAll(/aria-labelledby="([^"]+)"/g)) expect(ids).toContain(target)
  })

  test('cites, with each number, the place in results.json that gives it after rounding', () => {
    const results: unknown = JSON.parse(resultsJson(fixtures[name]!(), 'audit', '0.1.0'))
    const numbers = [
      ...page().matchAll(
        /<data value="([^"]*)" data-result="([^"]*)" data-format="([^"]*)">([^<]*)<\/data>/g,
      ),
    ]
    expect(numbers.length).toBeGreaterThan(60)
    for (const [, value, path, format, text] of numbers) {
      const found = resolvePath(results, unescaped(path!))
      expect(found, path).toBe(Number(value))
      expect(numberFormats[format as FormatName].text(found as number)).toBe(unescaped(text!))
    }
  })
})

describe('the page', () => {
  const page = (): string => pages.get('usual')!

  test('loads nothing, and runs nothing but its one script', () => {
    expect(page().split(/<script/i)).toHaveLength(2)
    expect(page()).toContain(`<script>${pageScript}</script>`)
    expect(pageScript).not.toMatch(
      /innerHTML|outerHTML|insertAdjacentHTML|eval|Function\(|document\.write|<\/|<!--/,
    )
    expect(page().replace(pageScript, '')).not.toMatch(
      /<link|<iframe|<img|<object|<embed|@import|url\((?!#part\d+-[0-9a-f]{8}\))|\ssrc=|\son\w+=/i,
    )
    const addresses = [...page().matchAll(/https?:\/\/[^"\s<]+/g)].map(([address]) => address)
    expect(new Set(addresses)).toEqual(new Set(['http://www.w3.org/2000/svg']))
  })

  test('has a policy that allows its one style and its one script, and nothing else', () => {
    const hashed = (tag: string): string => {
      const text = new RegExp(`<${tag}>(.*?)</${tag}>`, 's').exec(page())![1]!
      return `'sha256-${createHash('sha256').update(text).digest('base64')}'`
    }
    expect(page()).toContain(
      `content="default-src 'none'; style-src ${hashed('style')}; script-src ${hashed('script')}; img-src data:; base-uri 'none'; form-action 'none'"`,
    )
    expect(page()).not.toMatch(/<[a-z][^>]* style="/i)
  })

  test('differs from one made on another day in one line only', async () => {
    const other = await renderAuditHtml(fixtures.usual!(), { ...options, date: '2027-01-01' })
    const [one, two] = [page().split('\n'), other.split('\n')]
    expect(two).toHaveLength(one.length)
    expect(one.filter((line, index) => line !== two[index])).toEqual([
      '<p class="meta">Made on 4 May 2026</p>',
    ])
  })

  test('says on top, in its title, in print and in each picture that demo data are generated', () => {
    expect(page()).toContain(
      '<aside class="generated" aria-label="Kind of data">Generated demonstration data',
    )
    expect(page()).toMatch(/<title>[^<]*\(generated demonstration data\)<\/title>/)
    expect(page()).toContain('@top-center{content:"Generated demonstration data')
    const figures = figuresOf(auditDocument(fixtures.usual!(), options)).length
    expect(page().split('Generated demonstration data: no real patients<').length - 1).toBe(2 * figures)
    expect(pages.get('real data')!).not.toMatch(/generated demonstration data/i)
  })

  test('has a text alternative in every figure', () => {
    const figures = [...page().matchAll(/<svg role="img" aria-label="([^"]+)"/g)]
    expect(figures.length).toBe(2 * figuresOf(auditDocument(fixtures.usual!(), options)).length)
    for (const [, text] of figures) expect(text!.length).toBeGreaterThan(60)
  })

  test('shows markup, quotes and formulas of the data as text, wherever they stand', () => {
    const hostile = pages.get('hostile')!
    expect(hostile.replace(`<script>${pageScript}</script>`, '')).not.toMatch(/<script|<\/script/i)
    expect(hostile).not.toContain('\u202e')
    const shown = '=1+1&quot;&#39;&lt;/script&gt;&lt;script&gt;alert(1)&lt;/script&gt;\ufffdgnol&amp;Pneumono'
    for (const place of [
      '<h1>',
      '<title>',
      'id="table-problems"',
      'id="table-files"',
      'id="table-completeness"',
    ]) {
      const at = hostile.indexOf(place)
      expect(hostile.indexOf(shown, at), place).toBeGreaterThan(at)
    }
  })

  test('repeats the heads of tables by real table heads, each column and row named', () => {
    const tables = page().split('<table').length - 1
    expect(tables).toBe(tablesOf(auditDocument(fixtures.usual!(), options)).length)
    expect(page().split('<thead').length - 1).toBe(tables)
    expect(page().split('<caption').length - 1).toBe(tables)
    expect(page()).toContain('scope="row"')
  })
})

function unescaped(text: string): string {
  return text
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&')
}

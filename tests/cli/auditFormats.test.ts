import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import JSZip from 'jszip'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { demoSettings } from '../../src/demo/settings.js'
import { writeDemo } from '../../src/demo/writeDemo.js'
import { type Ended, runHoldfast } from './runHoldfast.js'

const scratch = mkdtempSync(join(tmpdir(), 'audit-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

function holdfast(
  environment: Readonly<Record<string, string>>,
  ...words: readonly string[]
): Promise<Ended> {
  return runHoldfast(scratch, words, environment)
}

beforeAll(async () => {
  for (const [index, name] of ['north', 'south', 'west'].entries()) {
    await writeDemo(join(scratch, name), demoSettings({ seed: index + 1, restorations: 120 }))
  }
})

describe('--formats', () => {
  it('writes what machines read alone, or the formats named beside the page', async () => {
    const date = ['--date', '2026-05-04']
    const { stdout } = await holdfast({}, 'audit', 'north', '--out', 'bare', '--formats', 'none', ...date)
    expect(readdirSync(join(scratch, 'bare')).sort()).toEqual(['answer.json', 'results.json'])
    expect(stdout).toMatch(/\nAnswer: bare\/answer\.json\n$/)
    await holdfast({}, 'audit', 'north', '--out', 'worded', '--formats', ' Word ', ...date)
    expect(readdirSync(join(scratch, 'worded')).filter((name) => name.startsWith('report.'))).toEqual([
      'report.docx',
      'report.html',
    ])
    const answer = (name: string): string => readFileSync(join(scratch, name, 'answer.json'), 'utf8')
    expect(answer('bare')).toBe(answer('worded'))
    expect(answer('bare')).not.toContain('null')
  })

  it('refuses one that there is not', async () => {
    const { code, stderr } = await holdfast({}, 'audit', 'north', '--formats', 'word,scroll')
    expect({ code, stderr }).toEqual({
      code: 2,
      stderr:
        '--formats names a format that there is not. Expected: some of markdown, word, pdf, png, slides with commas between them, or none. Mend: write --formats word,pdf.\n',
    })
  })

  it('writes figures as PNG and slides where they are asked for, and nowhere else', async () => {
    const out = ['--out', 'shown', '--date', '2026-05-04']
    await holdfast({}, 'audit', 'north', '--formats', 'slides,png', ...out)
    const files = readdirSync(join(scratch, 'shown'), { recursive: true }) as string[]
    expect(files).toContain('slides.pptx')
    const named = (ending: string): readonly string[] => files.filter((name) => name.endsWith(ending))
    expect(named('.png').length).toBe(named('.svg').length)
    const plain = readdirSync(join(scratch, 'worded'), { recursive: true }) as string[]
    expect(plain.filter((name) => /\.(?:png|pptx)$/.test(name))).toEqual([])
  })

  it.each([
    [
      ['--paper', 'a5'],
      '--paper names a paper that there is not. Expected: one of a4, letter. Mend: write --paper letter.',
    ],
    [
      ['--formats', 'slides', '--kind', 'leaflet'],
      'slides are made of an audit only. Expected: --formats slides without --kind. Mend: leave --kind away, or slides.',
    ],
  ])('refuses %j', async (words, message) => {
    const { code, stderr } = await holdfast({}, 'audit', 'north', ...words)
    expect({ code, stderr }).toEqual({ code: 2, stderr: `${message}\n` })
  })

  it('makes Word pages of the paper that is asked for', async () => {
    const sizes = []
    for (const paper of ['a4', 'Letter']) {
      const words = ['--kind', 'leaflet', '--formats', 'word', '--paper', paper, '--date', '2026-05-04']
      await holdfast({}, 'audit', 'north', '--out', `on-${paper}`, ...words)
      const zip = await JSZip.loadAsync(readFileSync(join(scratch, `on-${paper}`, 'report.docx')))
      const xml = await zip.file('word/document.xml')!.async('string')
      sizes.push(/<w:pgSz w:w="(\d+)" w:h="(\d+)"/.exec(xml)!.slice(1).map(Number))
    }
    // Twentieths of a point: 210 by 297 mm, and 8.5 by 11 inches.
    expect(sizes).toEqual([
      [11906, 16838],
      [12240, 15840],
    ])
  })

  it('refuses a PDF at once where there is no Chromium, and writes nothing', async () => {
    const nowhere = { CHROMIUM_PATH: join(scratch, 'no-browser') }
    const { code, stderr } = await holdfast(nowhere, 'audit', 'north', '--out', 'pdf', '--formats', 'pdf')
    expect(code).toBe(2)
    expect(stderr).toMatch(/^a PDF cannot be made, since there is no Chromium on this machine\./)
    expect(existsSync(join(scratch, 'pdf'))).toBe(false)
  })
})

describe('--each', () => {
  it('audits every data set by itself, as it would alone, and tells of those that fail', async () => {
    const date = ['--date', '2026-05-04']
    const words = ['audit', 'north', 'missing', 'south', 'west', '--each', '--out', 'all', ...date]
    const { code, stdout, stderr } = await holdfast({}, ...words)
    expect(code).toBe(2)
    expect(stderr).toMatch(/^missing: .*Mend: /)
    expect(stdout).toContain('3 of 4 data sets audited.')
    for (const name of ['north', 'south', 'west']) expect(stdout).toContain(`Report: all/${name}/report.html`)
    await holdfast({}, 'audit', 'south', '--out', 'alone', ...date)
    for (const file of ['results.json', 'report.html', 'report.md', 'figures/retention-190mm.svg']) {
      const [one, other] = ['all/south', 'alone'].map((folder) => readFileSync(join(scratch, folder, file)))
      expect(one!.equals(other!), file).toBe(true)
    }
  })

  it.each([
    [
      ['north', 'south'],
      'more than one data set is named. Expected: one data set, or --each to audit several, each by itself. Mend: add --each; to audit them together, merge them first with holdfast merge.',
    ],
    [
      ['north', 'north/', '--each'],
      'two of the data sets are named north, and their reports would stand in one folder. Expected: data sets whose folders or files have names of their own. Mend: rename one of them, or audit it by itself with --out.',
    ],
    [
      ['north', '--each', '--corrections', 'c.csv'],
      'one file of corrections cannot belong to several data sets. Expected: --each without --corrections. Mend: audit the data set that has corrections by itself.',
    ],
  ])('refuses %j', async (words, message) => {
    const { code, stderr } = await holdfast({}, 'audit', ...words)
    expect({ code, stderr }).toEqual({ code: 2, stderr: `${message}\n` })
  })
})

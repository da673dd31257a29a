import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { renderAuditHtml } from './auditHtml.js'
import { fixtures } from './fixture.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const chromium = await findBrowser()
let folder = ''

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'browsers-'))
})

afterAll(() => {
  rmSync(folder, { recursive: true, force: true })
})

/** A program that does what a test needs of a browser. */
function program(name: string, script: string): string {
  const path = join(folder, name)
  writeFileSync(path, `#!/bin/sh\n${script}\n`)
  chmodSync(path, 0o755)
  return path
}

describe('the browser', () => {
  test('is the one that CHROMIUM_PATH names, and no other', async () => {
    const own = program('own-browser', 'exit 0')
    expect(await findBrowser({ CHROMIUM_PATH: own, PATH: folder })).toBe(own)
    expect(await findBrowser({ CHROMIUM_PATH: join(folder, 'absent'), PATH: folder })).toBeUndefined()
  })

  test('is else found by its name in the search path', async () => {
    const path = program('chromium', 'exit 0')
    expect(await findBrowser({ PATH: folder })).toBe(path)
  })
})

test('without a browser the PDF is refused with the mend', async () => {
  const before = { ...process.env }
  process.env.CHROMIUM_PATH = join(folder, 'absent')
  await expect(pdfOfHtml('<p>x</p>', options)).rejects.toThrow(
    'a PDF cannot be made, since there is no Chromium on this machine. Expected: Chromium, or a browser built on it, in the search path or at CHROMIUM_PATH. Mend: install one, or open report.html in any browser and print it to PDF.',
  )
  if (before.CHROMIUM_PATH === undefined) delete process.env.CHROMIUM_PATH
  else process.env.CHROMIUM_PATH = before.CHROMIUM_PATH
})

test.each([
  ['it ended with code 7', 'exit 7'],
  ['it wrote no file', 'exit 0'],
])('a browser that fails is told: %s', async (reason, script) => {
  const browser = program('failing', script)
  await expect(pdfOfHtml('<p>x</p>', { ...options, browser })).rejects.toThrow(
    `the browser did not print the report: ${reason}.`,
  )
})

test('a report is printed, on the day of making and equal when printed again', async () => {
  if (chromium === undefined) {
    process.stderr.write('NOT RUN: printing to PDF. There is no Chromium; apt-get install chromium.\n')
    return
  }
  const html = await renderAuditHtml(fixtures['no events']!(), options)
  const one = Buffer.from(await pdfOfHtml(html, options))
  expect(one.subarray(0, 5).toString()).toBe('%PDF-')
  expect(one.toString('latin1')).toContain('/CreationDate (D:20260504000000')
  const two = Buffer.from(await pdfOfHtml(html, options))
  expect(two.equals(one)).toBe(true)
})

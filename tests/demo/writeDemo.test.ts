import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { parse } from 'csv-parse/sync'
import { afterAll, describe, expect, it } from 'vitest'
import { sha256 } from '../../src/core/plain.js'
import { generateStudyGroup } from '../../src/demo/generator.js'
import { demoSettings } from '../../src/demo/settings.js'
import { demoColumns, demoFiles, demoSheets } from '../../src/demo/tables.js'
import { writeDemo } from '../../src/demo/writeDemo.js'

const scratch = mkdtempSync(join(tmpdir(), 'demo-test-'))
const small = demoSettings({ seed: 4, patients: 30 })
afterAll(() => rmSync(scratch, { recursive: true }))

function contents(folder: string): Readonly<Record<string, string>> {
  return Object.fromEntries(
    readdirSync(folder)
      .sort()
      .map((name) => [name, readFileSync(join(folder, name), 'utf8')]),
  )
}

describe('the committed demo data', () => {
  it('are what the generator writes with its default settings, byte for byte', async () => {
    const again = join(scratch, 'default')
    await writeDemo(again, demoSettings())
    expect(contents(again)).toEqual(contents(resolve(import.meta.dirname, '../../data-demo')))
  })
})

describe('writing demo data', () => {
  it('writes tables that hold the generated rows, and nothing else beside them', async () => {
    const folder = join(scratch, 'new', 'deeper')
    const written = await writeDemo(folder, small)
    const data = generateStudyGroup(small)
    expect(written.truth).toEqual(data.truth)
    expect([...written.files].sort()).toEqual(readdirSync(folder).sort())
    expect(readdirSync(join(scratch, 'new'))).toEqual(['deeper'])
    const rows = {
      restorations: data.restorations,
      tightenings: data.tightenings,
      visits: data.visits,
      one_sheet: data.oneSheet,
    }
    for (const sheet of demoSheets) {
      const [header, ...lines] = parse(readFileSync(join(folder, demoFiles[sheet])))
      expect(header).toEqual(demoColumns(sheet))
      const expected = rows[sheet].map((row) => demoColumns(sheet).map((name) => String(row[name] ?? '')))
      expect(lines).toEqual(expected)
    }
    expect(statSync(folder).mode & 0o777).toBe(0o777 & ~process.umask())
  })

  it('says in the data package that they are generated, with size and hash of each table', async () => {
    const folder = join(scratch, 'package')
    await writeDemo(folder, small)
    const content = JSON.parse(readFileSync(join(folder, 'datapackage.json'), 'utf8'))
    expect(content.generated).toBe(true)
    expect(content.title).toContain('Generated demo data')
    expect(content.seed).toBe(4)
    for (const resource of content.resources) {
      const file = readFileSync(join(folder, resource.path))
      expect(resource.bytes).toBe(file.length)
      expect(resource.hash).toBe(`sha256:${sha256(file)}`)
      const header = file.toString('utf8').split('\n')[0]!.split(',')
      expect(resource.schema.fields.map((field: { name: string }) => field.name)).toEqual(header)
    }
    expect(readFileSync(join(folder, 'README.md'), 'utf8')).toMatch(/^# Generated demo data/)
  })

  it('replaces demo data, and fills an empty folder', async () => {
    const folder = join(scratch, 'again')
    mkdirSync(folder)
    await writeDemo(folder, small)
    await writeDemo(folder, demoSettings({ seed: 5, patients: 30 }))
    expect(JSON.parse(readFileSync(join(folder, 'truth.json'), 'utf8')).seed).toBe(5)
    expect(readdirSync(folder)).toHaveLength(7)
  })

  it('never overwrites a folder that holds anything else', async () => {
    const folder = join(scratch, 'practice')
    mkdirSync(folder)
    writeFileSync(join(folder, 'restorations.csv'), 'precious')
    await expect(writeDemo(folder, small)).rejects.toThrow(
      `${folder} holds files that are not demo data, and nothing was written. Expected: a new or empty folder, or one with demo data only. Mend: give another folder, or move those files away.`,
    )
    expect(contents(folder)).toEqual({ 'restorations.csv': 'precious' })
    const demo = join(scratch, 'demo-and-notes')
    await writeDemo(demo, small)
    writeFileSync(join(demo, 'notes.txt'), 'mine')
    await expect(writeDemo(demo, small)).rejects.toThrow('not demo data')
    expect(readdirSync(demo)).toHaveLength(8)
  })

  it('refuses a file, a place below a file, and settings that make no sense', async () => {
    const file = join(scratch, 'file')
    writeFileSync(file, 'precious')
    await expect(writeDemo(file, small)).rejects.toThrow(
      `${file} is a file. Expected: a folder, or a name that is not taken yet. Mend: give another name.`,
    )
    await expect(writeDemo(join(file, 'below'), small)).rejects.toThrow(
      `${join(file, 'below')} cannot be written to (ENOTDIR). Expected: a folder that may be written to, with room in it. Mend: give another folder.`,
    )
    await expect(writeDemo(join(scratch, 'bad'), { ...small, seed: Number.NaN })).rejects.toMatchObject({
      code: 'demo-settings',
    })
    expect(readdirSync(scratch)).not.toContain('bad')
    expect(readdirSync(scratch).filter((name) => name.startsWith('.'))).toEqual([])
  })

  it('reports progress up to the end', async () => {
    const shares: number[] = []
    await writeDemo(join(scratch, 'progress'), demoSettings({ seed: 6, patients: 1200 }), {
      onProgress: (share) => shares.push(share),
    })
    expect(shares).toEqual([500 / 1200, 1000 / 1200, 1])
  })
})

import { chmodSync, mkdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { crc32, deflateRawSync, gzipSync } from 'node:zlib'
import { utils, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { UsageError } from '../../src/core/errors.js'
import { problemInWords } from '../../src/records/problems.js'
import { inspectFile, openContent } from '../../src/records/read/inspect.js'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import { csvOf, oneSheet, practice, temporaryFolder, today, written, writtenFile } from './practice.js'

async function codesOf(path: string): Promise<readonly string[]> {
  const { problems } = await checkRecords(path, { today })
  return problems.map((one) => `${one.severity} ${one.code}`)
}

/** A folder of three tables with a data package that names the given paths. */
function packaged(paths: Readonly<Record<string, string>>, more: object = {}): string {
  const folder = written(practice())
  const resources = Object.entries({
    restorations: 'restorations.csv',
    tightenings: 'tightenings.csv',
    visits: 'visits.csv',
    ...paths,
  }).map(([name, path]) => ({ name, path }))
  writeFileSync(join(folder, 'datapackage.json'), JSON.stringify({ name: 'mine', resources, ...more }))
  return folder
}

describe('a data package', () => {
  it('names the files, the title and whether the data are generated', async () => {
    const folder = packaged({ visits: 'visits-2025.csv' }, { title: 'Our crowns', generated: true })
    writeFileSync(join(folder, 'visits-2025.csv'), readFileSync(join(folder, 'visits.csv')))
    const { source } = await readRecords(folder, { today })
    expect(source.title).toBe('Our crowns')
    expect(source.generated).toBe(true)
    expect(source.files.map((file) => file.name)).toEqual([
      'restorations.csv',
      'tightenings.csv',
      'visits-2025.csv',
    ])
  })

  it.each([
    ['a path that climbs out', '../visits.csv'],
    ['a path that climbs out further in', 'a/../../visits.csv'],
    ['an absolute path', '/etc/hostname'],
    ['an address on the web', 'https://example.org/visits.csv'],
  ])('may not lead out of its folder by %s', async (_how, path) => {
    const { problems } = await checkRecords(packaged({ visits: path }), { today })
    const { problem, code } = problems[0]!
    expect(code).toBe('path-leaves-folder')
    expect(problem).toBe('the path of a table leads out of the folder of the data set.')
  })

  it('states the order of the dates where the values do not', async () => {
    const folder = packaged({})
    const text = readFileSync(join(folder, 'visits.csv'), 'utf8')
    writeFileSync(join(folder, 'visits.csv'), text.replace(/(\d{4})-(\d\d)-(\d\d)/g, '05/06/$1'))
    expect((await codesOf(folder))[0]).toBe('stop date-order-undecidable')
    const fields = [{ name: 'visit_date', type: 'date', format: '%d/%m/%Y' }]
    const resources = ['restorations', 'tightenings', 'visits'].map((name) => ({
      name,
      path: `${name}.csv`,
      ...(name === 'visits' ? { schema: { fields } } : {}),
    }))
    writeFileSync(join(folder, 'datapackage.json'), JSON.stringify({ resources }))
    const { records } = await checkRecords(folder, { today, setAsideLimit: 1 })
    // Delivered on 7 January 2019 and seen on 5 June of the next years.
    expect([...records!.visits.day('visit_date').slice(0, 2)]).toEqual([515, 880])
  })

  it('stops where a file is missing, and where it is no package', async () => {
    expect(await codesOf(packaged({ visits: 'gone.csv' }))).toEqual(['stop missing-file'])
    const folder = written(practice())
    writeFileSync(join(folder, 'datapackage.json'), '{"resources": 7}')
    const { problems } = await checkRecords(folder, { today })
    expect(problemInWords(problems[0]!)).toBe(
      'datapackage.json: the data package cannot be used: resources is not as the standard says. Expected: a Data Package with resources, each with a name and one path. Mend: put it right, or remove it: tables named restorations, tightenings and visits are found without it.',
    )
    writeFileSync(join(folder, 'datapackage.json'), '{')
    expect(await codesOf(folder)).toEqual(['stop bad-data-package'])
  })
})

describe('files and links', () => {
  it('follows a link that stays in the folder and refuses one that leaves it', async () => {
    const folder = written(practice())
    const { visits } = practice()
    const elsewhere = writtenFile('visits.csv', csvOf(visits))
    writeFileSync(join(folder, 'real.txt'), readFileSync(join(folder, 'visits.csv')))
    const { rmSync } = await import('node:fs')
    rmSync(join(folder, 'visits.csv'))
    symlinkSync(join(folder, 'real.txt'), join(folder, 'visits.csv'))
    expect(await codesOf(folder)).toEqual([])
    rmSync(join(folder, 'visits.csv'))
    symlinkSync(elsewhere, join(folder, 'visits.csv'))
    expect(await codesOf(folder)).toEqual(['stop path-leaves-folder'])
    rmSync(join(folder, 'visits.csv'))
    symlinkSync('visits.csv', join(folder, 'visits.csv'))
    expect(await codesOf(folder)).toEqual(['stop missing-file'])
  })

  it('says that a file may not be read', async () => {
    const folder = written(practice())
    chmodSync(join(folder, 'visits.csv'), 0)
    chmodSync(folder, 0o755)
    const isRoot = process.getuid?.() === 0
    // The superuser may read everything; the test reads as nobody then.
    if (isRoot) process.seteuid!(65_534)
    try {
      const { problems } = await checkRecords(folder, { today })
      expect(problems.map(problemInWords)).toEqual([
        'visits.csv: it may not be read. Expected: a file that the user who runs the toolkit may read. Mend: change its permissions, or copy it.',
      ])
    } finally {
      if (isRoot) process.seteuid!(0)
    }
  })

  it('asks which file it is where several could be', async () => {
    const folder = temporaryFolder()
    writeFileSync(join(folder, 'one.csv'), csvOf(oneSheet(5)))
    expect(await codesOf(folder)).toEqual([])
    writeFileSync(join(folder, 'two.csv'), csvOf(oneSheet(5)))
    expect((await codesOf(folder))[0]).toBe('stop which-file')
  })

  it('reads the one sheet of a folder only where the three tables are not there', async () => {
    const folder = written(practice())
    writeFileSync(join(folder, 'one-sheet.csv'), csvOf(oneSheet(5)))
    const records = await readRecords(folder, { today })
    expect(records.source.form).toBe('three-tables')
    expect((await readRecords(join(folder, 'one-sheet.csv'), { today })).restorations.rowCount).toBe(5)
  })

  it('reads a workbook with the three tables', async () => {
    const book = utils.book_new()
    for (const [name, rows] of Object.entries(practice(10))) {
      utils.book_append_sheet(book, utils.json_to_sheet(rows), name)
    }
    const path = writtenFile('practice.xlsx', write(book, { type: 'buffer', bookType: 'xlsx' }))
    const records = await readRecords(path, { today })
    expect(records.source.form).toBe('three-tables')
    expect(records.visits.rowCount).toBe(20)
  })

  it('does not take a folder for a table', async () => {
    const folder = temporaryFolder()
    mkdirSync(join(folder, 'restorations.csv'))
    expect(await codesOf(folder)).toEqual(['stop no-data'])
    await expect(checkRecords(join(folder, 'x'), { today })).rejects.toThrow(UsageError)
  })

  it('never changes what it reads', async () => {
    const folder = written(practice())
    const before = ['restorations', 'tightenings', 'visits'].map((name) =>
      readFileSync(join(folder, `${name}.csv`), 'utf8'),
    )
    await checkRecords(folder, { today })
    expect(
      ['restorations', 'tightenings', 'visits'].map((name) =>
        readFileSync(join(folder, `${name}.csv`), 'utf8'),
      ),
    ).toEqual(before)
  })
})

/** A zip with one part, whose declared size may be a lie. */
function zipOf(name: string, content: Buffer, declared = content.length): Buffer {
  const packed = deflateRawSync(content)
  const fields = Buffer.alloc(26)
  fields.writeUInt16LE(20, 0)
  fields.writeUInt16LE(8, 4)
  fields.writeUInt32LE(crc32(content), 10)
  fields.writeUInt32LE(packed.length, 14)
  fields.writeUInt32LE(declared, 18)
  fields.writeUInt16LE(name.length, 22)
  const local = Buffer.concat([Buffer.from('504b0304', 'hex'), fields, Buffer.from(name), packed])
  const entry = Buffer.concat([
    Buffer.from('504b01021400', 'hex'),
    fields,
    Buffer.alloc(14),
    Buffer.from(name),
  ])
  const end = Buffer.alloc(22)
  end.writeUInt32LE(0x06054b50, 0)
  end.writeUInt16LE(1, 8)
  end.writeUInt16LE(1, 10)
  end.writeUInt32LE(entry.length, 12)
  end.writeUInt32LE(local.length, 16)
  return Buffer.concat([local, entry, end])
}

describe('a zip bomb', () => {
  const large =
    'bomb.xlsx: the workbook, or what is packed in it, is too large to be opened. Expected: up to 100 MB, and up to 400 MB unpacked, or a hundred times its size. Mend: save the sheet as CSV (UTF-8), which is read at any size.'

  it('is refused by the sizes that it declares', async () => {
    const path = writtenFile('bomb.xlsx', zipOf('xl/worksheets/sheet1.xml', Buffer.from('<a/>'), 500 << 20))
    const { problems } = await checkRecords(path, { today })
    expect(problems.map(problemInWords)).toEqual([large])
  })

  it.each([
    ['a sheet', 'bomb.xlsx', 'xl/worksheets/sheet1.xml', '<row><c><v>1</v></c></row>'],
    ['the texts of the sheets', 'bomb.xlsx', 'xl/sharedStrings.xml', '<si><t>a</t></si>'],
    ['a sheet of an open document', 'bomb.ods', 'content.xml', '<table:table-row/>'],
  ])('is refused by how often its size it becomes: %s', async (_what, file, part, row) => {
    // What compresses so far holds nothing but one row over and over; a sheet of it would fill gigabytes once opened.
    const content = Buffer.from(row.repeat(Math.ceil((60 << 20) / row.length)))
    const path = writtenFile(file, zipOf(part, content))
    expect(statSync(path).size).toBeLessThan(1 << 20)
    const { problems } = await checkRecords(path, { today })
    expect(problems.map(problemInWords)).toEqual([large.replace('bomb.xlsx', file)])
  })

  it('of text is refused while it is unpacked', async () => {
    const path = writtenFile('bomb.csv.gz', gzipSync(Buffer.alloc(129 << 20, 48), { level: 1 }))
    expect(await codesOf(path)).toEqual(['stop archive-too-large'])
  })

  it('is refused where it becomes larger than it declares', async () => {
    const path = writtenFile(
      'bomb.xlsx',
      zipOf('xl/worksheets/sheet1.xml', Buffer.alloc(20 << 20, 97), 1_000),
    )
    const { problems } = await checkRecords(path, { today })
    expect(problems.map(problemInWords)).toEqual([large])
  })

  it('that holds no workbook is refused as unreadable', async () => {
    expect(await codesOf(writtenFile('a.xlsx', zipOf('a.txt', Buffer.from('hello'))))).toEqual([
      'stop unreadable-workbook',
    ])
  })
})

describe('a compressed file that is damaged', () => {
  it('is refused when it is read, however long after it was opened, and ends no process', async () => {
    // The head of the format with flags that there are not.
    const damaged = Buffer.from([0x1f, 0x8b, 8, 0xff, ...new Array<number>(4000).fill(7)])
    const path = writtenFile('damaged.csv.gz', damaged)
    const content = openContent(path, true)
    content.read(0)
    await new Promise((resolve) => setTimeout(resolve, 200))
    await expect(
      (async () => {
        for await (const _chunk of content);
      })(),
    ).rejects.toThrow('unknown header flags set')
    await expect(inspectFile(path)).rejects.toThrow('unknown header flags set')
  })
})

import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { utils, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import type { Question } from '../../../src/records/interview/questions.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { csvOf, oneSheet, today, writtenFile } from '../practice.js'

/**
 * Holds the interview by taking what is proposed, the first choice where nothing is, unless an answer is given for a
 * place; gives what was asked.
 */
async function held(path: string, given: Readonly<Record<string, string | number | boolean | null>> = {}) {
  const asked: Question[] = []
  const said: string[] = []
  await runInterview(path, {
    today,
    redo: false,
    say: (text) => said.push(text),
    ask: async (question) => {
      asked.push(question)
      const id = question.where.slice(2).join(' › ')
      return id in given ? given[id]! : taken(question)
    },
  })
  const check = await checkRecords(path, { today })
  return { asked, said, ...check }
}

function taken({ proposed, choices }: Question): string | number | boolean | null {
  return proposed === undefined ? (choices?.[0]?.answer ?? null) : proposed
}

function sheet(header: string, rows: readonly string[], separator = ';'): string {
  return writtenFile('praxis.csv', `${[header, ...rows].join('\n').replaceAll(';', separator)}\n`)
}

const header = 'Paciente;Diente;Sexo;Fecha de entrega;Torque (Nm);Último control;Primer aflojamiento'
const rows = Array.from(
  { length: 10 },
  (_, index) => `P${index};36;${index % 2 === 0 ? 'H' : 'M'};${13 + index}/02/2019;35;${13 + index}/02/2021;`,
)

describe('what went wrong in silence', () => {
  it('a unit typed as Nm does not empty the torques: it is asked, and stops without an answer', async () => {
    const path = sheet(
      header.replace('Primer', 'Aprietes;Primer'),
      rows.map((row) => `${row.slice(0, -1)};1;`),
    )
    const { asked, records } = await held(path)
    const unit = asked.find((one) => one.where.includes('unit'))
    expect(unit?.proposed).toBe('N·cm')
    expect(new Set(records!.tightenings.number('target_torque_ncm'))).toEqual(new Set([35]))
    expect(records!.tightenings.rowCount).toBe(10)
  })

  it('H and M in a Spanish sheet are hombre and mujer', async () => {
    const { records, said } = await held(sheet(header, rows))
    const { labels, codes } = records!.restorations.category('sex')
    expect([...codes].map((code) => labels[code])).toEqual(
      rows.map((_, index) => (index % 2 === 0 ? 'male' : 'female')),
    )
    expect(said.join('\n')).toContain('10 patients, 5 women')
  })

  it.each(['sí', '31/02/2020', 'primavera', '2020'])(
    'a loosening of %s is no "no event": it stops',
    async (text) => {
      const path = sheet(
        header.replace('(Nm)', '(Ncm)'),
        rows.map((row, index) => (index === 4 ? `${row}${text}` : row)),
      )
      const { problems, records } = await held(path, {
        'columns › Primer aflojamiento › partialDates': 'unknown',
      })
      expect(records).toBeUndefined()
      expect(problems[0]).toMatchObject({ severity: 'stop', code: 'not-a-date', rows: [6] })
      const named = await checkRecords(path, { today, setAside: ['not-a-date'] })
      expect(named.records!.restorations.rowCount).toBe(9)
    },
  )

  it('"11, 12" are two crowns, or stop', async () => {
    const path = sheet(
      header.replace('(Nm)', '(Ncm)'),
      rows.map((row) => row.replace(';36;', ';11, 12;')),
    )
    const { asked, records } = await held(path)
    expect(asked.some((one) => one.where.includes('severalCrowns'))).toBe(true)
    expect(records!.restorations.rowCount).toBe(20)
    const plain = writtenFile(
      'one-sheet.csv',
      'patient_id,delivery_date,tooth_position,last_check_date,first_loosening_date\nP1,2019-02-02,"11, 12",2021-02-02,\n',
    )
    const { problems } = await checkRecords(plain, { today })
    expect(problems[0]).toMatchObject({ severity: 'stop', code: 'several-crowns', rows: [2] })
  })

  it('"not checked" does not extend time at risk', async () => {
    const visits = 'Paciente;Diente;Fecha de entrega;Fecha de visita;Hallazgo'
    const lines = rows.flatMap((_, index) => [
      `P${index};36;${13 + index}/02/2019;${13 + index}/02/2020;sin hallazgos`,
      `P${index};36;${13 + index}/02/2019;${13 + index}/02/2021;no revisado`,
    ])
    const { records } = await held(sheet(visits, lines), {
      'columns › Hallazgo › values › no revisado': 'not_checked',
    })
    const { labels, codes } = records!.visits.category('screw_checked')
    expect([...codes].map((code) => labels[code])).toEqual(rows.flatMap(() => ['yes', 'no']))
  })

  it.each(['', '?', '-', 'n/a', '2020'])(
    'a finding at a visit dated "%s" is not lost: it stops',
    async (text) => {
      const dated = { dateOrder: 'day-first', partialDates: 'unknown' } as const
      const columns = [
        { header: 'Paciente', field: 'patient_id' },
        { header: 'Diente', field: 'tooth_position' },
        { header: 'Fecha de entrega', field: 'delivery_date', ...dated },
        { header: 'Fecha de visita', field: 'visit_date', checked: true, ...dated },
        {
          header: 'Hallazgo',
          field: 'finding',
          visit: 1,
          values: { floja: 'screw_loosening', firme: 'none' },
        },
      ]
      const lines = rows.map((_, index) => `P${index};36;${13 + index}/02/2019;${13 + index}/02/2020;firme`)
      lines[4] = `P4;36;17/02/2019;${text};floja`
      const path = sheet(columns.map((one) => one.header).join(';'), lines)
      const map = {
        holdfastColumnMap: 1,
        confirmed: true,
        sheets: [{ sheet: 'one_sheet', file: 'praxis.csv', rows: 'visit', columns }],
      }
      writeFileSync(`${path}.map.json`, JSON.stringify(map))
      const { problems, records } = await checkRecords(path, { today })
      expect(records).toBeUndefined()
      expect(problems[0]).toMatchObject({ severity: 'stop', code: 'missing-value', rows: [6] })
    },
  )

  it('a row without an identifier among rows that have one stops, and where none has one they are made', async () => {
    const sheetOf = (ids: (index: number) => string): string =>
      writtenFile(
        'one-sheet.csv',
        csvOf(oneSheet(20).map((row, index) => ({ ...row, restoration_id: ids(index) }))),
      )
    const one = await checkRecords(
      sheetOf((index) => (index === 3 ? '' : `R${index}`)),
      { today },
    )
    expect(one.problems.filter(({ severity }) => severity !== 'note')).toMatchObject([
      { severity: 'stop', code: 'missing-value', rows: [5] },
    ])
    const none = await checkRecords(
      sheetOf(() => ''),
      { today },
    )
    expect(none.problems.map(({ code }) => code)).toEqual(['restoration-ids-made'])
    expect(none.records!.restorations.rowCount).toBe(20)
    expect(none.records!.visits.rowCount).toBe(22)
  })

  it('a clean check whose date is not known is left out and listed', async () => {
    const header = 'Paciente;Diente;Fecha de entrega;Control 1;Hallazgo 1;Control 2;Hallazgo 2'
    const lines = rows.map(
      (_, index) =>
        `P${index};36;${13 + index}/02/2019;${13 + index}/02/2020;sin hallazgos;` +
        (index === 4 ? '?;sin hallazgos' : index < 5 ? `${13 + index}/02/2021;sin hallazgos` : ';'),
    )
    const { problems, records } = await held(sheet(header, lines))
    expect(problems.filter((one) => one.severity === 'set-aside')).toMatchObject([
      { code: 'visit-without-date', rows: [6] },
    ])
    expect(records!.visits.rowCount).toBe(14)
  })

  it('checks side by side that never were are no visits, whatever "not checked" is called elsewhere', async () => {
    const header = 'Paciente;Diente;Fecha de entrega;Control 1;Hallazgo 1;Control 2;Hallazgo 2'
    const lines = rows.map(
      (_, index) =>
        `P${index};36;${13 + index}/02/2019;${13 + index}/02/2020;${index === 0 ? 'no revisado' : 'sin hallazgos'};` +
        (index < 5 ? `${13 + index}/02/2021;${index === 1 ? 'no revisado' : 'sin hallazgos'}` : ';'),
    )
    const { problems, records } = await held(sheet(header, lines), {
      'columns › Hallazgo 1 › values › no revisado': 'not_checked',
      'columns › Hallazgo 2 › values › no revisado': 'not_checked',
    })
    expect(problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(records!.visits.rowCount).toBe(15)
    const { labels, codes } = records!.visits.category('screw_checked')
    expect([...codes].filter((code) => labels[code] === 'no')).toHaveLength(2)
  })

  it('a confirmed map is not written over without --redo, and is kept beside with it', async () => {
    const path = sheet(header.replace('(Nm)', '(Ncm)'), rows)
    await held(path)
    const before = readFileSync(`${path}.map.json`, 'utf8')
    const order = {
      today,
      say: () => undefined,
      ask: async (question: Question) => taken(question),
    }
    await expect(runInterview(path, { ...order, redo: false })).rejects.toThrow(
      /^there is a confirmed map already: .* Mend: add --redo to answer anew; the old map is kept beside the new one\.$/,
    )
    expect(readFileSync(`${path}.map.json`, 'utf8')).toBe(before)
    expect(await runInterview(path, { ...order, redo: true })).toBe(true)
    expect(readFileSync(`${path}.map.json.old-1`, 'utf8')).toBe(before)
  })

  it('dates that a spreadsheet has turned round are asked about, and stop without an answer', async () => {
    const truth = Array.from(
      { length: 20 },
      (_, index) => [2019, 1 + (index % 12), 1 + ((index * 7) % 28)] as const,
    )
    const cells = truth.map(([year, month, day]) =>
      // Month first is expected: days up to 12 are taken for months, the others stay texts.
      day <= 12
        ? { t: 'n', v: Date.UTC(year, day - 1, month) / 86_400_000 + 25_569, z: 'yyyy-mm-dd' }
        : { t: 's', v: `${day}/${month}/${year}` },
    )
    const made = utils.aoa_to_sheet([
      ['Paciente', 'Diente', 'Fecha de entrega', 'Último control', 'Primer aflojamiento'],
      ...truth.map((_, index) => [`P${index}`, '36', '', '2023-02-20', '']),
    ])
    cells.forEach((cell, index) => {
      made[utils.encode_cell({ r: index + 1, c: 2 })] = cell
    })
    const book = utils.book_new()
    utils.book_append_sheet(book, made, 'Hoja')
    const path = writtenFile('libro.xlsx', write(book, { type: 'buffer', bookType: 'xlsx' }))
    const { records, asked } = await held(path)
    expect(asked.some((one) => one.where.includes('swapDates') && one.proposed === true)).toBe(true)
    const days = [...records!.restorations.day('delivery_date')]
    expect(days).toEqual(truth.map(([year, month, day]) => Date.UTC(year, month - 1, day) / 86_400_000))
    const map = JSON.parse(readFileSync(`${path}.map.json`, 'utf8'))
    for (const column of map.sheets[0].columns) delete column.swapDates
    writeFileSync(`${path}.map.json`, JSON.stringify(map))
    const { problems } = await checkRecords(path, { today })
    expect(problems[0]).toMatchObject({ severity: 'stop', code: 'dates-may-be-turned' })
  })
})

describe('the interview', () => {
  it('goes on where it was stopped, and is replayed with the same answers', async () => {
    const path = sheet(header.replace('(Nm)', '(Ncm)'), rows)
    let count = 0
    const stopping = {
      today,
      redo: false,
      say: () => undefined,
      ask: async (question: Question) => {
        if (++count === 4) throw new Error('stopped by the user')
        return taken(question)
      },
    }
    await expect(runInterview(path, stopping)).rejects.toThrow('stopped by the user')
    expect(existsSync(`${path}.map.json`)).toBe(false)
    const { asked, said } = await held(path)
    expect(said[0]).toBe('The interview goes on where it was stopped.')
    expect(asked.map((one) => one.where.at(-1))).not.toContain('rows')
    const next = sheet(header.replace('(Nm)', '(Ncm)'), rows)
    const replayed = await runInterview(next, {
      today,
      redo: false,
      say: () => undefined,
      answers: `${path}.answers.json`,
    })
    expect(replayed).toBe(true)
    const without = (map: string): unknown => JSON.parse(readFileSync(map, 'utf8'))
    expect(without(`${next}.map.json`)).toEqual(without(`${path}.map.json`))
  })

  it('writes open questions that can be filled in and given back', async () => {
    const path = sheet(header, rows)
    const order = { today, redo: false, say: () => undefined }
    expect(await runInterview(path, order)).toBe(false)
    for (let turn = 0; turn < 4 && !existsSync(`${path}.map.json`); turn++) {
      const written = JSON.parse(readFileSync(`${path}.questions.json`, 'utf8'))
      for (const question of written.open) {
        expect(Object.keys(question)).toEqual(
          expect.arrayContaining(['id', 'where', 'ask', 'because', 'answer']),
        )
        question.answer = taken(question) ?? 'not-used'
      }
      writeFileSync(`${path}.mine.json`, JSON.stringify(written))
      await runInterview(path, { ...order, answers: `${path}.mine.json` })
    }
    expect(existsSync(`${path}.map.json`)).toBe(true)
    expect(existsSync(`${path}.questions.json`)).toBe(false)
  })

  it('never shows values of columns that identify', async () => {
    const path = sheet(
      header.replace('Paciente', 'Código'),
      rows.map((row) => `GEHEIM-${row}`),
    )
    const { asked } = await held(path, { patient: 'Código' })
    expect(JSON.stringify(asked)).not.toContain('GEHEIM')
  })
})

import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runOver } from '../../dist/notebook/runOver.js'
import { writeStudy } from '../../src/notebook/studyFolder.js'

const scratch = mkdtempSync(join(tmpdir(), 'holdfast-over-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** A notebook of one cell that prints a text. */
function notebook(name: string, source: string): string {
  const cells = [
    { cell_type: 'code', metadata: { tags: ['parameters'] }, source, outputs: [], execution_count: null },
  ]
  const path = join(scratch, name)
  writeFileSync(path, JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells }))
  return path
}

/** A practice of three crowns, one of them loose, that nobody generated. */
function practice(name: string, looseDay: string): string {
  const folder = join(scratch, name)
  mkdirSync(folder, { recursive: true })
  writeFileSync(
    join(folder, 'restorations.csv'),
    'restoration_id,patient_id,delivery_date,restoration_type\nr1,p1,2020-01-01,single_crown\nr2,p2,2020-01-01,single_crown\nr3,p2,2020-01-01,single_crown\n',
  )
  writeFileSync(
    join(folder, 'visits.csv'),
    `restoration_id,visit_date,visit_type,screw_checked,finding,restoration_status\nr1,${looseDay},scheduled,yes,screw_loosening,in_place\nr2,2021-01-01,scheduled,yes,none,in_place\nr3,2021-01-01,scheduled,yes,none,in_place\n`,
  )
  writeFileSync(
    join(folder, 'tightenings.csv'),
    'restoration_id,context,sequence,action,target_torque_ncm,minutes_since_first\nr1,delivery,1,tighten,35,0\n',
  )
  return folder
}

describe('notebooks over data sets', () => {
  it('give each its folder, tell the broken one, go on, and say what changed', async () => {
    const file = notebook(
      'one.ipynb',
      "const folder: string = process.env.HOLDFAST_DATA ?? '../data-demo'\nconsole.log(require('node:fs').readFileSync(folder + '/visits.csv', 'utf8').length)",
    )
    const sets = [
      practice('north', '2020-06-01'),
      practice('other/north', '2020-07-01'),
      join(scratch, 'broken'),
    ]
    mkdirSync(sets[2]!)
    writeFileSync(join(sets[2]!, 'restorations.csv'), 'nothing\n1\n')
    const options = { out: join(scratch, 'run'), code: true, parameters: {}, cellSeconds: 60, memoryMb: 1024 }
    const first = await runOver([file], sets, options)
    expect(
      first.failures.map(({ name }) => name),
      JSON.stringify(first.failures),
    ).toEqual(['broken'])
    expect(first.pages).toBe(2)
    const page = readFileSync(join(options.out, 'north-2', 'one.html'), 'utf8')
    expect(page).toContain('3 restorations of 2 patients followed')
    expect(page).not.toMatch(/demo/i)
    expect(page).toContain('Plan: none was given')
    writeFileSync(
      join(sets[0]!, 'visits.csv'),
      `${readFileSync(join(sets[0]!, 'visits.csv'), 'utf8')}r2,2022-01-01,scheduled,yes,none,in_place\n`,
    )
    await runOver([file], sets, options)
    const index = readFileSync(first.indexPath, 'utf8')
    expect(index).toMatch(/north\/one\.html">one<\/a>: changed since the last run/)
    expect(index).toMatch(/north-2\/one\.html">one<\/a>: as in the last run/)
    expect(index).toContain('broken')
  }, 180_000)
})

describe('the folder of a study', () => {
  it('holds what is needed, and changes nothing when it is made again', async () => {
    const folder = join(scratch, 'study')
    const { written } = await writeStudy(folder)
    for (const path of [
      'README.md',
      '.gitignore',
      'plan.json',
      'package.json',
      'notebooks/09-my-own-question.ipynb',
    ]) {
      expect(written).toContain(path)
    }
    expect(readFileSync(join(folder, '.gitignore'), 'utf8')).toMatch(
      /^records\/$[\s\S]*^\*key\*$[\s\S]*^\*ledger\*$/m,
    )
    expect(readFileSync(join(folder, 'notebooks/02-how-often-do-screws-loosen.ipynb'), 'utf8')).not.toContain(
      'data-demo',
    )
    writeFileSync(join(folder, 'README.md'), 'my own words')
    rmSync(join(folder, 'plan.json'))
    expect((await writeStudy(folder)).written).toEqual(['plan.json'])
    expect(readFileSync(join(folder, 'README.md'), 'utf8')).toBe('my own words')
    expect(existsSync(resolve(folder, 'records'))).toBe(true)
  })

  it('is refused where a file has its name', async () => {
    writeFileSync(join(scratch, 'taken'), '')
    await expect(writeStudy(join(scratch, 'taken'))).rejects.toMatchObject({ code: 'not-a-folder' })
  })
})

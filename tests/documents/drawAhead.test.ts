import { join } from 'node:path'
import { expect, test } from 'vitest'
import { openPictureDrawer, type PictureDrawer } from '../../src/charts/pictureDrawer.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { drawAhead } from '../../src/documents/formats/drawAhead.js'
import { pngsFor } from '../../src/documents/formats/pictures.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf } from '../../src/documents/model/contents.js'
import { completedAudit, describedCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { readRecords } from '../../src/records/read/readDataset.js'

test('what is drawn ahead are pictures of the report', async () => {
  const demo = join(import.meta.dirname, '../../data-demo')
  const cohort = buildCohort(await readRecords(demo, { today: dayFromIso('2026-01-31')! }))
  const described = describedCohort(cohort, defaultSettings)
  const ahead: string[] = []
  const drawer: Pick<PictureDrawer, 'drawAhead'> = {
    drawAhead: (specification, pngWidthMm) => {
      ahead.push(JSON.stringify([specification, pngWidthMm]))
    },
  }
  drawAhead(described, drawer, pngsFor(['word'], []))
  const document = auditDocument(completedAudit(cohort, described), { date: '', version: '' })
  const wanted = new Set(
    figuresOf(document).flatMap(({ page, column }) => [
      JSON.stringify([page, 190]),
      JSON.stringify([column, undefined]),
    ]),
  )
  expect(ahead.length).toBeGreaterThanOrEqual(10)
  expect(ahead.filter((key) => !wanted.has(key))).toEqual([])
})

test('no PNG is drawn where no format takes one', async () => {
  const drawer = openPictureDrawer()
  const specification = { mark: 'point', data: { values: [{}] } } as never
  const { chart, png } = drawer.draw(specification)
  expect((await chart).svg).toContain('<svg')
  expect(await png).toBeUndefined()
  await drawer.close()
})

test('a picture that was begun ahead is the one that is given, once', async () => {
  const drawer = openPictureDrawer()
  const specification = { mark: 'point', data: { values: [{}] } } as never
  drawer.drawAhead(specification, 20)
  const [first, second] = [drawer.draw(specification, 20), drawer.draw(specification, 20)]
  expect(first).not.toBe(second)
  expect(Buffer.compare((await first.png)!, (await second.png)!)).toBe(0)
  await drawer.close()
})

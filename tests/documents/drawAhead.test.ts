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

test.each(['en', 'de'])(
  'what is drawn ahead are the pictures of the report, each once (%s)',
  async (language) => {
    const demo = join(import.meta.dirname, '../../data-demo')
    const cohort = buildCohort(await readRecords(demo, { today: dayFromIso('2026-01-31')! }))
    const described = describedCohort(cohort, defaultSettings)
    const audit = completedAudit(cohort, described)
    const ahead: string[] = []
    const drawer: Pick<PictureDrawer, 'drawAhead'> = {
      drawAhead: (specification, pngWidthMm) => {
        ahead.push(JSON.stringify([specification, pngWidthMm]))
      },
    }
    const wanted = { language, wish: pngsFor(['word'], []) }
    drawAhead('described', described, drawer, wanted)
    drawAhead('compared', audit, drawer, wanted)
    const document = auditDocument(audit, { date: '', version: '', language })
    const shown = figuresOf(document).flatMap(({ page, column }) => [
      JSON.stringify([page, 190]),
      JSON.stringify([column, undefined]),
    ])
    expect(ahead.sort()).toEqual(shown.sort())
  },
)

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

import { expect, it } from 'vitest'
import { intervalsAlong } from '../../src/charts/intervalsAlong.js'
import { roundAxis } from '../../src/charts/plotAxis.js'
import { message } from '../../src/messages/message.js'
import { speaker } from '../../src/messages/speaker.js'

it('says all of a figure in its language: that data are generated, and that an interval goes on', () => {
  const said = (language: string): string =>
    JSON.stringify(
      intervalsAlong(
        {
          heading: message('table.share'),
          rows: [
            {
              label: 'A',
              value: 0.1,
              lower: 0.05,
              upper: 0.9,
              hasInterval: true,
              text: '',
              open: false,
              color: '#000000',
            },
          ],
          axis: roundAxis(0, 0.2, { title: '', format: String }),
          notes: [],
        },
        { generated: true, language },
      ),
    )
  expect(said('en')).toMatch(/Generated demonstration data/)
  expect(said('de')).toMatch(/Erzeugte Beispieldaten/)
  expect(said('de')).not.toMatch(/Generated demonstration/)
  const arrow = speaker('de').text(message('chart.arrow'))
  expect(arrow).not.toBe(speaker('en').text(message('chart.arrow')))
  expect(said('de').replaceAll('\\n', ' ')).toContain(arrow.split(' ')[1])
})

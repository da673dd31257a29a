import { describe, expect, test } from 'vitest'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { settingOf } from '../../src/documents/model/citation.js'
import { plainText } from '../../src/documents/model/document.js'
import { speaker } from '../../src/messages/speaker.js'
import { auditCohort } from '../../src/questions/audit.js'
import { literature } from '../../src/questions/literature/answer.js'
import { literatureChart } from '../../src/questions/literature/chart.js'
import { publishedFigures } from '../../src/questions/literature/publishedFigures.js'
import { mainSentence as literatureSentence } from '../../src/questions/literature/section.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { practice, times } from './practice.js'

/** 10 of 100 loose within the year, all others tight until 1,500 days: 4 years. */
const hundred = practice([...times(10, { loose: 300 }), ...times(90, { checks: [1500] })])

describe('published figures', () => {
  test('are those of the papers: limits hold the share, and survival is turned round (Theoharidou 97.3%, 95.6 to 98.3)', () => {
    for (const { share, lower, upper, paper, journal } of publishedFigures) {
      expect(paper).toMatch(/ \d{4}$/)
      expect(journal).toMatch(/^\p{L}/u)
      if (lower === undefined) continue
      expect(lower).toBeLessThanOrEqual(share)
      expect(upper!).toBeGreaterThanOrEqual(share)
    }
    const [external] = publishedFigures
    expect([1 - external!.share, 1 - external!.upper!, 1 - external!.lower!]).toEqual([
      expect.closeTo(0.973, 10),
      expect.closeTo(0.956, 10),
      expect.closeTo(0.983, 10),
    ])
    // Exact upper limit of 0 of 177, two-sided 95%: 1 − 0.025^(1/177).
    const none = publishedFigures.find(({ share }) => share === 0)!
    expect(none.upper).toBeCloseTo(1 - 0.025 ** (1 / 177), 4)
  })

  test('stand beside the risk at the same horizon, whatever horizons the audit has', () => {
    const { horizons, withoutHorizon } = literature(hundred, { ...defaultSettings, horizonsYears: [1] })!
    expect(horizons.map(({ years, published }) => [years, published.length])).toEqual([
      [3, 2],
      [5, 2],
    ])
    expect(horizons[0]!.own.estimate).toBeCloseTo(0.1, 12)
    expect(horizons[0]!.thin).toBe(false)
    // Follow-up ends after four years.
    expect(horizons[1]!.own.estimate).toMatchObject({ state: 'not-estimable' })
    expect(withoutHorizon.length).toBe(6)
    expect(withoutHorizon[0]!.interval.lower).toEqual({ state: 'not-estimable', reason: 'none-printed' })
  })

  test('are left out where other restorations are audited, or nothing is published on the endpoint', () => {
    const arches = practice([{ checks: [900], fields: { restoration_type: 'full_arch' } }, { checks: [900] }])
    expect(literature(arches)).toBeDefined()
    expect(literature(arches.redefined({ restorationTypes: ['single_crown', 'full_arch'] }))).toBeUndefined()
    expect(literature(hundred.redefined({ endpoint: 'screw_complication' }))).toBeUndefined()
    expect(literature(hundred.redefined({ endpoint: 'implant_loss' }))!.horizons[0]!.years).toBe(10)
  })
})

describe('the literature in the report', () => {
  const audit = auditCohort(hundred, { ...defaultSettings, detail: 'full' })

  test('is set beside the audit in words without a verdict', () => {
    expect(
      speaker().text(literatureSentence(audit.literature!, pathsOf(audit).literature, settingOf(audit))),
    ).toMatch(
      /^The risk of first screw loosening here was 10\.0% by 3 years \(95% interval \d+\.\d% to \d+\.\d%\)\. Published figures: 2\.4% to 2\.7% by 3 years and 8\.8% to 12\.7% by 5 years\. Here events count on the day of finding, so that this is not quite the risk of the answer\. Nothing is tested: /,
    )
    const short = { ...audit, literature: literature(practice(times(20, { checks: [100] }))) }
    expect(
      speaker().text(literatureSentence(short.literature!, pathsOf(short).literature, settingOf(short))),
    ).toMatch(/^Follow-up here is too short for/)
  })

  test('has a row for the audit and each source, with the limits that are printed and no others', () => {
    const section = auditDocument(audit, { date: 'd', version: 'v' }).sections.find(
      ({ id }) => id === 'literature',
    )!
    const table = section.blocks.find((block) => block.kind === 'table')!
    expect(table.rows.map((row) => plainText(row[3]!.content))).toEqual([
      '10.0%',
      '2.7%',
      '2.4%',
      'not estimable',
      '12.7%',
      '8.8%',
    ])
    expect(plainText(table.rows[1]![3]!.under!)).toBe('1.7% to 4.4%')
    expect(table.rows[4]![3]!.under).toBeUndefined()
    expect(table.notes.map(plainText)).toContain('‡ Limits from memory, not read again.')
  })

  test('is drawn from nought, the audit dark and what is published light', () => {
    const chart = literatureChart(audit.literature!)
    const squares = chart.layer.filter(({ name }) => name?.startsWith('square_'))
    expect(squares.map((one) => one.data.values[0]!.value)).toEqual([0.1, 0.027, 0.024, 0.127, 0.088])
    expect(squares[0]!.encoding.x!.scale!.domain![0]).toBe(0)
    expect(squares[0]!.mark.fill).not.toBe(squares[1]!.mark.fill)
  })
})

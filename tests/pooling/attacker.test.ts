import * as fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { answerRound } from '../../src/pooling/answerRound.js'
import { combineSummaries } from '../../src/pooling/combine.js'
import { classesWithinReach, leavesTooFew } from '../../src/pooling/disclosure.js'
import { griddedRows } from '../../src/pooling/griddedRows.js'
import { modelRows } from '../../src/pooling/modelRows.js'
import { modelSums } from '../../src/pooling/modelSums.js'
import type { AgreedProtocol } from '../../src/pooling/protocol.js'
import { reachedAcross } from '../../src/pooling/releasePlan.js'
import { sealed } from '../../src/pooling/seal.js'
import type { SiteRows } from '../../src/pooling/siteRows.js'
import { type MadeSummary, makeSiteSummary } from '../../src/pooling/siteSummary.js'
import { type RoundRequest, requestFormat } from '../../src/pooling/summarySchema.js'
import { patientsBehindChanges } from '../../src/verification/simulation/summaryAttacker.js'
import { agreedOn, making } from './demoGroup.js'
import { changedRows, syntheticRows } from './syntheticRows.js'

const gridDays = Array.from({ length: 12 }, (_one, i) => 91 * (i + 1))
const agreed = agreedOn({ gridDays })
const adjusted = agreedOn({
  gridDays,
  model: { covariates: [{ field: 'opposing', levels: ['natural', 'ceramic'] }] },
})

const madeOf = (rows: SiteRows, by: AgreedProtocol, earlier: MadeSummary[] = []): Promise<MadeSummary> =>
  makeSiteSummary(rows, by, { ...making, earlier: earlier.map(({ record }) => record) })

const site = (changes: Partial<Parameters<typeof syntheticRows>[1]> = {}, by = agreed): SiteRows =>
  syntheticRows(by.protocol, {
    clinic: 'clinic',
    patients: 120,
    eventShare: 0.2,
    competingShare: 0.1,
    lateShare: 0,
    seed: 1,
    ...changes,
  })

const anySite = fc.record({
  patients: fc.integer({ min: 1, max: 160 }),
  eventShare: fc.double({ min: 0, max: 0.6, noNaN: true }),
  competingShare: fc.double({ min: 0, max: 0.3, noNaN: true }),
  lateShare: fc.constantFrom(0, 0, 0.1, 0.5),
  seed: fc.integer({ min: 0, max: 1e6 }),
})

/** Patients behind every count of the summary, from the rows themselves and not from the counting code. */
function patientsBehindCounts(rows: SiteRows, by: AgreedProtocol, made: MadeSummary): readonly number[] {
  const gridded = griddedRows(rows, by.protocol, made.plan)
  const behind = new Map<string, Set<number>>()
  const add = (key: string, row: number): void => {
    if (!behind.has(key)) behind.set(key, new Set())
    behind.get(key)!.add(rows.patient[row]!)
  }
  for (let row = 0; row < rows.n; row++) {
    const place = `${gridded.block[row]} ${gridded.group[row]}`
    add(`${place} ${gridded.status[row]} ${gridded.timeDays[row]}`, row)
    if (gridded.entryDays[row]! > 0) add(`${place} entered ${gridded.entryDays[row]}`, row)
    for (const end of new Set(gridded.timeDays)) {
      if (gridded.entryDays[row]! < end && gridded.timeDays[row]! >= end) add(`${place} at risk ${end}`, row)
    }
    made.balance.forEach((parts, f) => {
      if (parts === undefined) return
      const part = parts.findIndex((levels) => levels.includes(rows.balance[f]![row]!))
      add(`${f} ${gridded.group[row]} ${part}`, row)
    })
  }
  return [...behind.values()].map((patients) => patients.size)
}

describe('someone who reads one summary', () => {
  it('finds no count of fewer patients than the threshold, nor gets one by subtraction', async () => {
    await fc.assert(
      fc.asyncProperty(anySite, fc.constantFrom(agreed, adjusted), async (settings, by) => {
        const rows = site(settings, by)
        let made: MadeSummary
        try {
          made = await madeOf(rows, by)
        } catch (error) {
          expect((error as { code: string }).code).toMatch(/threshold-not-met|release-too-close/)
          return
        }
        const behind = patientsBehindCounts(rows, by, made)
        expect(Math.min(...behind)).toBeGreaterThanOrEqual(by.protocol.threshold)
        expect(reachedAcross([made.record.rows], by.protocol.threshold)).toEqual([])
      }),
      { numRuns: 120, seed: 7 },
    )
  }, 60_000)

  it('learns nothing of a clinic of one patient', async () => {
    const one = site({ patients: 1 })
    await expect(madeOf(one, agreed)).rejects.toMatchObject({ code: 'threshold-not-met' })
  })

  it('cannot tell a unique event', async () => {
    const rows = changedRows(site(), (row) => ({ status: row === 3 ? 1 : 0 }))
    await expect(madeOf(rows, agreed)).rejects.toMatchObject({ code: 'threshold-not-met' })
    const unique = changedRows(site(), (row) => ({
      status: row === 3 ? 2 : site().status[row] === 2 ? 0 : site().status[row]!,
    }))
    const made = await madeOf(unique, agreed)
    expect(made.summary.competingEvents).toBe('counted as censored')
    expect(
      made.summary.blocks.flatMap(({ groups }) => groups.flatMap(({ competing }) => competing)),
    ).not.toContain(1)
  })

  it('does not see how many patients have several restorations where they are few', async () => {
    const seen = new Set<number>()
    const rows = site()
    const single = changedRows(rows, (row) => {
      const again = seen.has(rows.patient[row]!)
      seen.add(rows.patient[row]!)
      return { drop: again && row > 12 }
    })
    const { summary } = await madeOf(single, agreed)
    expect(summary.patients).toMatchObject({ state: 'withheld' })
    if (summary.model.state === 'given') expect(summary.model.outerProductsOver).toBe('restorations')
  })
})

describe('someone who subtracts one release from another', () => {
  it('gets nothing of fewer patients than the threshold, whatever changed', async () => {
    let followed = 0
    await fc.assert(
      fc.asyncProperty(
        anySite.filter(({ patients }) => patients > 60),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 0, max: 1e6 }),
        async (settings, touched, where) => {
          const rows = site({ ...settings, lateShare: 0 })
          const later = changedRows(rows, (row) => {
            if ((row * 7919 + where) % rows.n >= touched) return {}
            return row % 3 === 0
              ? { drop: true }
              : { time: Math.min(1092, rows.timeDays[row]! + 200), status: row % 2 }
          })
          let first: MadeSummary
          let second: MadeSummary
          try {
            first = await madeOf(rows, agreed)
            second = await madeOf(later, agreed, [first])
          } catch (error) {
            expect((error as { code: string }).code).toMatch(/threshold-not-met|release-too-close/)
            return
          }
          followed++
          const both = [first.record.rows, second.record.rows]
          expect(reachedAcross(both, agreed.protocol.threshold)).toEqual([])
          expect(second.summary.release).toBe(2)
          for (const patients of changesOfSums(rows, later, first, second)) {
            expect(patients === 0 || patients >= agreed.protocol.threshold).toBe(true)
          }
        },
      ),
      { numRuns: 80, seed: 11 },
    )
    expect(followed).toBeGreaterThan(5)
  }, 60_000)

  it('is refused a release that adds one event', async () => {
    const rows = site()
    const first = await madeOf(rows, agreed)
    const censored = rows.status.indexOf(0)
    const later = changedRows(rows, (row) => (row === censored ? { status: 1 } : {}))
    await expect(madeOf(later, agreed, [first])).rejects.toMatchObject({
      code: 'release-too-close',
      message:
        'set against an earlier release, this one would show what changed in fewer than 5 patients. Expected: a release in which every count has changed by no patient or by at least 5. Mend: leave the earlier release in use until more patients have been added or have had the event.',
    })
  })

  it('is refused what shows three new events of one stratum among many of others', async () => {
    const rows = site({ patients: 400, seed: 3 })
    const first = await madeOf(rows, agreed)
    const [smallest] = [...new Set(rows.stratum)].sort(
      (left, right) =>
        rows.stratum.filter((one) => one === left).length -
        rows.stratum.filter((one) => one === right).length,
    )
    // Three of the smallest stratum, each from an interval of its own, and twenty of the others.
    const taken = { few: new Set<number>(), many: 0 }
    const later = changedRows(rows, (row) => {
      if (rows.status[row] !== 0 || rows.timeDays[row]! > 1000) return {}
      const interval = Math.floor(rows.timeDays[row]! / 91)
      if (rows.stratum[row] === smallest) {
        if (taken.few.size === 3 || taken.few.has(interval)) return {}
        taken.few.add(interval)
        return { status: 1 }
      }
      if (taken.many === 20) return {}
      taken.many++
      return { status: 1 }
    })
    expect(taken.few.size).toBe(3)
    let second: MadeSummary
    try {
      second = await madeOf(later, agreed, [first])
    } catch (error) {
      expect((error as { code: string }).code).toBe('release-too-close')
      return
    }
    expect(changesOfSums(rows, later, first, second).filter((count) => count > 0 && count < 5)).toEqual([])
  })

  it('gets nothing by adding the groups of one release where the other has them together', async () => {
    const rows = site({ patients: 200, seed: 9 })
    const first = await madeOf(rows, agreed)
    expect(first.plan.grouping.mergeGroups).toBe(false)
    // All events but three of one group go, so that its events are too few to stand apart.
    let left = 3
    const later = changedRows(rows, (row) =>
      rows.status[row] === 1 && rows.group[row] === 1 && left-- <= 0 ? { status: 0 } : {},
    )
    const second = await madeOf(later, agreed, [first]).catch((error: { code: string }) => {
      expect(error.code).toBe('release-too-close')
      return undefined
    })
    if (second === undefined) return
    expect(second.plan.grouping.mergeGroups).toBe(true)
    expect(changesOfSums(rows, later, first, second).filter((count) => count > 0 && count < 5)).toEqual([])
  })

  it('gets the very same release where nothing changed', async () => {
    const rows = site()
    const first = await madeOf(rows, agreed)
    const again = await madeOf(rows, agreed, [first])
    expect(again.summary.blocks).toEqual(first.summary.blocks)
  })
})

/**
 * Patients behind every difference between a sum of the first release and the same sum of the second: of one block or of
 * all, one group or both, one way of leaving or all, between any two ends that both have; and of every level of the
 * balance that both show.
 */
function changesOfSums(
  before: SiteRows,
  after: SiteRows,
  first: MadeSummary,
  second: MadeSummary,
): readonly number[] {
  return patientsBehindChanges({ rows: before, made: first }, { rows: after, made: second }, agreed.protocol)
}

describe('a coordinator who asks for telling rounds', () => {
  const request = (
    made: MadeSummary,
    by: AgreedProtocol,
    coefficients: number[],
    round = 1,
    final = false,
  ): RoundRequest =>
    sealed({
      format: requestFormat,
      protocolHash: by.hash,
      round,
      final,
      coefficients,
      sites: [
        { clinic: made.summary.clinic, release: made.summary.release, checksum: made.summary.checksum },
      ],
    }) as RoundRequest

  it('gets the same answer from any rows with the same safe counts, so that no coefficients bring out a record', async () => {
    const rows = site({ patients: 400, seed: 5 }, adjusted)
    const made = await madeOf(rows, adjusted)
    if ('withheld' in made.model) throw new Error('unexpected')
    const { plan } = made.model
    const taken = modelRows(rows, adjusted.protocol, plan)
    const counts = new Map<string, Set<number>>()
    const columns = Object.values(taken.columns)
    const gridded = griddedRows(rows, adjusted.protocol, plan)
    taken.kept.forEach((row, i) => {
      const key = [
        gridded.block[row],
        gridded.timeDays[row],
        gridded.status[row],
        ...columns.map((c) => c[i]),
      ].join()
      counts.set(key, (counts.get(key) ?? new Set()).add(rows.patient[row]!))
    })
    expect(Math.min(...[...counts.values()].map((patients) => patients.size))).toBeGreaterThanOrEqual(5)
    // Rows dealt anew from the counts alone answer every request alike: the answer holds nothing but the counts.
    const order = taken.kept.map((_row, i) => i).sort((a, b) => ((a * 7919) % 1009) - ((b * 7919) % 1009))
    const dealt = {
      ...taken,
      times: Object.fromEntries(
        Object.entries(taken.times).map(([name, column]) => [name, order.map((i) => column[i])]),
      ) as unknown as typeof taken.times,
      columns: Object.fromEntries(
        Object.entries(taken.columns).map(([name, column]) => [
          name,
          Float64Array.from(order, (i) => column[i]!),
        ]),
      ),
      block: Int32Array.from(order, (i) => taken.block[i]!),
    }
    for (const coefficients of [
      [0, 0],
      [5, -5],
      [-3, 4.9],
    ]) {
      const [own, other] = [modelSums(taken, coefficients), modelSums(dealt, coefficients)]
      for (const [j, score] of own.score.entries()) expect(other.score[j]).toBeCloseTo(score, 8)
    }
  })

  it('is refused coefficients beyond the agreed limit, other releases, and a round asked twice', async () => {
    const rows = site({ patients: 200 })
    const made = await madeOf(rows, agreed)
    const ask = (coefficients: number[], record = made.record, round = 1, final = false) =>
      answerRound(rows, agreed, made, record, request(made, agreed, coefficients, round, final))
    expect(() => ask([5.1])).toThrow('a coefficient lies beyond the 5 that the group agreed on')
    const answered = ask([0.3])
    expect(answered.answer.outerProducts).toBeNull()
    expect(() => ask([0.4], answered.record)).toThrow('answered before at other coefficients')
    expect(ask([0.3], answered.record).answer).toEqual(answered.answer)
    let { record } = made
    for (let round = 1; round <= 12; round++) record = ask([round / 10], record, round).record
    expect(() => ask([0], record, 13)).toThrow('12 rounds have been answered')
    let finals = made.record
    for (const round of [1, 2]) finals = ask([round / 10], finals, round, true).record
    expect(() => ask([0.9], finals, 3, true)).toThrow('outer products have been given twice')
    const foreign = { ...request(made, agreed, [0]), sites: [] }
    expect(() => answerRound(rows, agreed, made, made.record, foreign)).toThrow(
      'does not rest on the latest release',
    )
    const changed = { ...made.record, checksum: '0'.repeat(64) }
    expect(() => answerRound(rows, agreed, made, changed, request(made, agreed, [0]))).toThrow(
      'records have changed',
    )
  })

  it('gets no more from the pooled result than from the summaries', async () => {
    const made = await madeOf(site({ patients: 200 }), agreed)
    const result = combineSummaries([made.summary], agreed)
    const steps = [result.overall, ...result.byGroup].flatMap(({ steps: all }) => all)
    const counts = steps.flatMap(({ atRisk, events, competing, censored }) => [
      atRisk,
      events,
      competing,
      censored,
    ])
    expect(counts.filter((count) => count > 0 && count < 5)).toEqual([])
  })
})

describe('what is left when a count is taken apart by the cells of the table', () => {
  it('is found, over however many classes it is spread', () => {
    // Cells 0, 1 and 2 of nine patients each; count 9 holds cell 0, all but one of cell 1, and one of cell 2.
    const classes = [
      { countedIn: [0, 9], patients: 9 },
      { countedIn: [1, 9], patients: 8 },
      { countedIn: [1, 8], patients: 1 },
      { countedIn: [2, 8], patients: 8 },
      { countedIn: [2, 9], patients: 1 },
    ]
    expect(leavesTooFew(classes, 5)).toBe(true)
    expect(leavesTooFew(classes, 2)).toBe(false)
    expect(leavesTooFew(classes.slice(0, 1), 5)).toBe(false)
  })
})

describe('the search for what is within reach', () => {
  it('finds what two overlapping counts give away, and would notice if it stood alone', () => {
    // Counts 0 = a + b and 1 = a: b, of two patients, is their difference.
    const classes = [
      { countedIn: [0, 1], patients: 9 },
      { countedIn: [0], patients: 2 },
    ]
    expect(classesWithinReach(classes, 5)).toEqual([1])
    expect(
      classesWithinReach(
        [
          { countedIn: [0, 1], patients: 9 },
          { countedIn: [0, 1], patients: 2 },
        ],
        5,
      ),
    ).toEqual([])
    // A chain of three counts, a + b, b + c, c: gives b by subtracting twice.
    expect(
      classesWithinReach(
        [
          { countedIn: [0], patients: 9 },
          { countedIn: [0, 1], patients: 3 },
          { countedIn: [1, 2], patients: 8 },
        ],
        5,
      ),
    ).toEqual([1])
    // Two small classes that are only told together.
    expect(
      classesWithinReach(
        [
          { countedIn: [0, 1], patients: 9 },
          { countedIn: [0, 2], patients: 2 },
          { countedIn: [0, 2, 3], patients: 1 },
          { countedIn: [3], patients: 7 },
        ],
        5,
      ),
    ).toEqual([1, 2])
  })
})

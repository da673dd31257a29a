import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { recordsUntil } from '../../src/cohort/recordsUntil.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { newPractice, type Practice } from '../../src/pooling/identity/practice.js'
import { knownRestorations, recordNumbers } from '../../src/pooling/site/numbers.js'
import { protocolDefinition, releaseRows } from '../../src/pooling/site/siteRows.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { agreedOn } from './syntheticGroup.js'

const folder = `${import.meta.dirname}/../../data-demo`
const records = await readRecords(folder, { today: 20_700 })
const cutoffs = ['2022-06-30', '2023-12-31', '2025-06-30']
const endpoint = 'screw_loosening'

function sharedBy(practice: Practice, from: string | null, cutoff: string) {
  const agreed = agreedOn({ release: { from, cutoff } })
  const numbers = recordNumbers(records, agreed, practice)
  const after: Practice = {
    ...practice,
    ledger: {
      cutoff,
      release: agreed.hash,
      restorations: { ...practice.ledger.restorations, ...numbers.notes },
    },
  }
  return { sums: numbers.sums, after }
}

describe('releases over the years', () => {
  it('share each day of a restoration and each event once: three increments are one follow-up', () => {
    let practice = newPractice('Practice', 5)
    const events = [0, 0]
    const days = [0, 0]
    cutoffs.forEach((cutoff, i) => {
      const { sums, after } = sharedBy(practice, i === 0 ? null : cutoffs[i - 1]!, cutoff)
      practice = after
      for (const group of [0, 1]) {
        events[group]! += sums[`${endpoint}/events`]![group]!
        days[group]! += sums[`${endpoint}/days`]![group]!
      }
    })
    const { sums } = sharedBy(newPractice('Other', 5), null, cutoffs[2]!)
    for (const group of [0, 1]) {
      expect(events[group]).toBe(sums[`${endpoint}/events`]![group])
      // A restoration that was delivered before a cut-off day but first seen after it begins at that day.
      const once = sums[`${endpoint}/days`]![group]!
      expect(days[group]!).toBeLessThanOrEqual(once + 1000)
      expect(days[group]!).toBeGreaterThan(0.85 * once)
    }
  })

  it('never reach behind what the ledger knows', () => {
    const first = sharedBy(newPractice('Practice', 5), null, cutoffs[1]!)
    const again = agreedOn({ release: { from: cutoffs[1]!, cutoff: cutoffs[2]! } })
    const until = recordsUntil(records, dayFromIso(cutoffs[2]!)!)
    const cohort = buildCohort(until, protocolDefinition(again.protocol, endpoint))
    const { rows, notes } = releaseRows(cohort, again.protocol, first.after)
    expect(rows.n).toBeGreaterThan(100)
    notes.forEach(({ keys }, row) => {
      const known = first.after.ledger.restorations[keys.id]?.through[endpoint]
      if (known === undefined) return
      expect(known.ended).toBe(false)
      expect(rows.entryDays[row]).toBeGreaterThanOrEqual(known.day)
    })
  })

  it('find the practice again by what is in the records, under its own salt only', () => {
    const { after } = sharedBy(newPractice('Practice', 5), null, cutoffs[0]!)
    expect(knownRestorations(records, after)).toBeGreaterThan(100)
    expect(knownRestorations(records, { ...after, salt: 'another' })).toBe(0)
    // Ids that stand by themselves: within a random key a P may be followed by digits.
    expect(JSON.stringify(after.ledger)).not.toMatch(/(?<![\w+/-])P\d{4}(?:R\d)?(?![\w+/-])/)
  })
})

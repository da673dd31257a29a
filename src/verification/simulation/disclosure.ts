import { DisclosureError } from '../../core/errors.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { countedSums, type ModelClass } from '../../pooling/countedModel.js'
import { griddedRows } from '../../pooling/griddedRows.js'
import { modelRows } from '../../pooling/modelRows.js'
import { modelSums } from '../../pooling/modelSums.js'
import { exampleProtocol, readProtocol } from '../../pooling/protocol.js'
import { reachedAcross } from '../../pooling/releasePlan.js'
import { type MadeSummary, makeSiteSummary } from '../../pooling/siteSummary.js'
import { type AttackedRow, changedClinic, drawnClinic, siteOf } from './attackedClinics.js'
import type { SimulationStudy, StudyRun } from './study.js'
import { patientsBehind, patientsBehindChanges, type SharedClinic } from './summaryAttacker.js'

const seed = 20260405
const plannedClinics = 400
const gridDays = Array.from({ length: 12 }, (_one, i) => 91 * (i + 1))
const agreed = readProtocol(JSON.stringify({ ...exampleProtocol, gridDays }))
const { protocol } = agreed
const changes = ['one record', 'a tenth of the records', 'a year more'] as const

/** What an attack came to over all clinics. */
interface Tally {
  tried: number
  refused: number
  looked: number
  fewest: number
  reached: number
}

const begun = (): Tally => ({ tried: 0, refused: 0, looked: 0, fewest: Number.POSITIVE_INFINITY, reached: 0 })

export const disclosureStudy: SimulationStudy = Object.freeze({
  name: 'disclosure',
  question: 'Can anything that rests on fewer patients than the threshold be had from what sites share?',
  page: 'docs/verification/disclosure.md',
  run: async ({ replicates = plannedClinics, onProgress }: StudyRun) => {
    const one = begun()
    const unique = begun()
    const later = new Map(changes.map((change) => [change, begun()]))
    let furthest = 0
    for (let clinic = 0; clinic < replicates; clinic++) {
      onProgress('attacking clinics', clinic / replicates)
      const stream = randomStream(seed, clinic)
      const rows = drawnClinic(protocol, stream)
      await attackUnique(rows, unique)
      const shared = await attackOne(rows, one)
      if (shared === undefined) continue
      furthest = Math.max(furthest, attackRounds(shared, stream))
      for (const change of changes) {
        await attackReleases(shared, changedClinic(rows, change, protocol, stream), later.get(change)!)
      }
    }
    return [
      `${replicates} clinics, threshold ${protocol.threshold}, seed ${seed}.`,
      '',
      '| attack | tried | refused | numbers or differences looked at | fewest patients behind one that is not 0 | classes below the threshold within reach |',
      '|---|---:|---:|---:|---:|---:|',
      row('one summary', one),
      row('one summary of a clinic with a single event', unique),
      ...changes.map((change) => row(`second release, changed: ${change}`, later.get(change)!)),
      '',
      `Rounds of the model at random coefficients: the answers of the rows differ from those of the shared counts alone by ${furthest.toExponential(1)} at most.`,
    ].join('\n')
  },
})

function row(name: string, { tried, refused, looked, fewest, reached }: Tally): string {
  return `| ${[name, tried, refused, looked, Number.isFinite(fewest) ? fewest : 'none', reached].join(' | ')} |`
}

async function madeOf(
  rows: readonly AttackedRow[],
  earlier: readonly MadeSummary[],
): Promise<SharedClinic | undefined> {
  const site = siteOf(rows, protocol)
  try {
    const records = earlier.map(({ record }) => record)
    const options = { date: '2026-01-31', toolkit: 'study', salt: 'study', earlier: records }
    return { rows: site, made: await makeSiteSummary(site, agreed, options) }
  } catch (error) {
    if (error instanceof DisclosureError) return undefined
    throw error
  }
}

/** Counts, and what adding and subtracting them brings within reach. */
async function attackOne(rows: readonly AttackedRow[], tally: Tally): Promise<SharedClinic | undefined> {
  tally.tried++
  const shared = await madeOf(rows, [])
  if (shared === undefined) {
    tally.refused++
    return undefined
  }
  look(tally, patientsBehind(shared, protocol))
  tally.reached += reachedAcross([shared.made.record.rows], protocol.threshold).length
  return shared
}

/** The same clinic with all events but the first taken away. */
async function attackUnique(rows: readonly AttackedRow[], tally: Tally): Promise<void> {
  const first = rows.findIndex(({ status }) => status === 1)
  if (first < 0) return
  await attackOne(
    rows.map((one, i) => (one.status === 1 && i !== first ? { ...one, status: 0 } : one)),
    tally,
  )
}

async function attackReleases(
  first: SharedClinic,
  rows: readonly AttackedRow[],
  tally: Tally,
): Promise<void> {
  tally.tried++
  const second = await madeOf(rows, [first.made])
  if (second === undefined) {
    tally.refused++
    return
  }
  look(tally, patientsBehindChanges(first, second, protocol))
  const both = [first.made.record.rows, second.made.record.rows]
  tally.reached += reachedAcross(both, protocol.threshold).length
}

function look(tally: Tally, sizes: readonly number[]): void {
  tally.looked += sizes.length
  tally.fewest = sizes.reduce((fewest, size) => Math.min(fewest, size), tally.fewest)
}

/** Largest difference between the score of the rows and that of the counts, at coefficients of the attacker's choice. */
function attackRounds({ rows, made }: SharedClinic, stream: RandomStream): number {
  if ('withheld' in made.model) return 0
  const { plan } = made.model
  const taken = modelRows(rows, protocol, plan)
  const gridded = griddedRows(rows, protocol, plan)
  const classes = new Map<string, ModelClass>()
  const position = (block: number, day: number): number =>
    plan.ends[block]!.findIndex((end) => gridDays[end] === day)
  for (const one of taken.kept) {
    const block = gridded.block[one]!
    const found = {
      block,
      covariates: [gridded.group[one]!],
      event: gridded.status[one] === 1,
      exit: position(block, gridded.timeDays[one]!),
      entry: gridded.entryDays[one] === 0 ? 0 : position(block, gridded.entryDays[one]!) + 1,
    }
    const key = JSON.stringify(found)
    classes.set(key, { ...found, restorations: (classes.get(key)?.restorations ?? 0) + 1 })
  }
  const { largestCoefficient } = protocol
  let furthest = 0
  for (let round = 0; round < 5; round++) {
    const coefficients = [largestCoefficient * (2 * stream.uniform() - 1)]
    const [own, counted] = [modelSums(taken, coefficients), countedSums([...classes.values()], coefficients)]
    furthest = Math.max(
      furthest,
      Math.abs(own.score[0]! - counted.score[0]!),
      Math.abs(own.information[0]![0]! - counted.information[0]![0]!),
    )
  }
  return furthest
}

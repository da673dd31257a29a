import { join } from 'node:path'
import { buildCohort } from '../../src/cohort/cohort.js'
import { combineSummaries, type PooledResult } from '../../src/pooling/combine.js'
import { type GriddedRows, griddedRows } from '../../src/pooling/griddedRows.js'
import {
  type AgreedProtocol,
  exampleProtocol,
  type Protocol,
  readProtocol,
} from '../../src/pooling/protocol.js'
import { answeringSite, throughRounds as modelThroughRounds } from '../../src/pooling/rounds.js'
import { protocolDefinition, type SiteRows, siteRows } from '../../src/pooling/siteRows.js'
import { type MadeSummary, makeSiteSummary } from '../../src/pooling/siteSummary.js'
import { readRecords } from '../../src/records/read/readDataset.js'

export const demoFolder = join(import.meta.dirname, '../../data-demo')

/** A site of a test: rows, and what it made of them. */
export interface TestSite {
  readonly rows: SiteRows
  readonly made: MadeSummary
}

export function agreedOn(changes: Partial<Protocol> = {}): AgreedProtocol {
  return readProtocol(JSON.stringify({ ...exampleProtocol, ...changes }))
}

export const making = { date: '2026-01-31', toolkit: 'test', salt: 'a secret of the practice' }

/** The clinics of the demo data. */
export async function demoRows(agreed: AgreedProtocol): Promise<readonly SiteRows[]> {
  const records = await readRecords(demoFolder, { today: 20_700 })
  return siteRows(buildCohort(records, protocolDefinition(agreed.protocol)), agreed.protocol)
}

export function sitesOf(rows: readonly SiteRows[], agreed: AgreedProtocol): Promise<readonly TestSite[]> {
  return Promise.all(
    rows.map(async (one) => ({ rows: one, made: await makeSiteSummary(one, agreed, making) })),
  )
}

/** Runs the rounds of the model to their end. */
export function throughRounds(sites: readonly TestSite[], agreed: AgreedProtocol): PooledResult {
  const answering = sites.map(({ rows, made }) => answeringSite(rows, agreed, made))
  return combineSummaries(
    sites.map(({ made }) => made.summary),
    agreed,
    { rounds: modelThroughRounds(answering, agreed).rounds },
  )
}

/** Rows of all sites on their own grids, as the estimators take them. */
export function stackedOnGrids(
  sites: readonly TestSite[],
  agreed: AgreedProtocol,
  wanted: (site: TestSite) => boolean = () => true,
) {
  const parts = sites.filter(wanted).map((site) => ({
    site,
    gridded: griddedRows(site.rows, agreed.protocol, site.made.plan),
  }))
  const flat = <T>(read: (one: { site: TestSite; gridded: GriddedRows }, row: number) => T): T[] =>
    parts.flatMap((one) => Array.from({ length: one.site.rows.n }, (_x, row) => read(one, row)))
  return {
    timeDays: flat(({ gridded }, row) => gridded.timeDays[row]!),
    entryDays: flat(({ gridded }, row) => gridded.entryDays[row]!),
    status: flat(({ gridded }, row) => gridded.status[row]!),
    event: flat(({ gridded }, row) => (gridded.status[row] === 1 ? 1 : 0)),
    group: flat(({ site }, row) => site.rows.group[row]!),
    stratum: flat(({ site, gridded }, row) => `${site.rows.clinic} ${gridded.block[row]}`),
    patient: flat(({ site }, row) => `${site.rows.clinic} ${site.rows.patientKey[row]}`),
    exactTimeDays: flat(({ site }, row) => site.rows.timeDays[row]!),
    exactEntryDays: flat(({ site }, row) => site.rows.entryDays[row]!),
    exactEvent: flat(({ site }, row) => (site.rows.status[row] === 1 ? 1 : 0)),
    covariates: agreed.protocol.model.covariates.map((_c, c) =>
      flat(({ site }, row) => site.rows.covariates[c]![row]!),
    ),
  }
}

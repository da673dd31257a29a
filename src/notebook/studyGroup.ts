import { randomUUID } from 'node:crypto'
import { buildCohort } from '../cohort/cohort.js'
import { isoFromDay } from '../core/calendar.js'
import { DisclosureError } from '../core/errors.js'
import { combineSummaries, type PooledResult } from '../pooling/combine.js'
import type { AgreedProtocol } from '../pooling/protocol.js'
import { type AnsweringSite, answeringSite, throughRounds } from '../pooling/rounds.js'
import { protocolDefinition, type SiteRows, siteRows } from '../pooling/siteRows.js'
import { makeSiteSummary } from '../pooling/siteSummary.js'
import type { RecordSet } from '../records/dataset.js'
import { today } from './today.js'
import { version } from './version.js'

/** One clinic of a study group: the summary that it hands on, and how it answers the rounds of the model. */
export interface StudySite extends AnsweringSite {
  readonly clinic: string
}

/** What the clinics of a study group hand on. */
export interface StudyGroup {
  readonly agreed: AgreedProtocol
  readonly sites: readonly StudySite[]
  /** Clinics that cannot hand anything on under the protocol, with the reason. */
  readonly withheld: readonly { readonly clinic: string; readonly reason: string }[]
}

/** How summaries are made in a notebook. */
export interface ShareOptions {
  /** Date of making (ISO); default that of the machine. */
  readonly date?: string
}

/**
 * Makes the site summary of every clinic in the records, each as it would by itself: counts over spans of time, so coarse
 * that no number has fewer patients behind it than the protocol allows, and sums for the model.
 *
 * @param records records of one or more clinics; never written to
 * @param agreed protocol of the group, as `readProtocol` gives it
 * @param options date of making, default today
 * @throws CohortError `empty-cohort` where no restoration is followed
 */
export async function shareSummaries(
  records: RecordSet,
  agreed: AgreedProtocol,
  options: ShareOptions = {},
): Promise<StudyGroup> {
  const { date = isoFromDay(today()) } = options
  const cohort = buildCohort(records, protocolDefinition(agreed.protocol))
  const sites: StudySite[] = []
  const withheld: StudyGroup['withheld'][number][] = []
  for (const rows of siteRows(cohort, agreed.protocol)) {
    try {
      sites.push(await studySite(rows, agreed, date, records.source.generated))
    } catch (thrown) {
      if (!(thrown instanceof DisclosureError)) throw thrown
      withheld.push(Object.freeze({ clinic: rows.clinic, reason: thrown.problem }))
    }
  }
  return Object.freeze({ agreed, sites: Object.freeze(sites), withheld: Object.freeze(withheld) })
}

async function studySite(
  rows: SiteRows,
  agreed: AgreedProtocol,
  date: string,
  generated: boolean,
): Promise<StudySite> {
  const made = await makeSiteSummary(rows, agreed, { date, generated, toolkit: version, salt: randomUUID() })
  return Object.freeze({ clinic: rows.clinic, ...answeringSite(rows, agreed, made) })
}

/**
 * Pools the summaries of a study group, going through the rounds of the model until its answer stands: the coordinator
 * sends numbers, every clinic answers with sums.
 *
 * @param group what the clinics hand on
 * @throws UsageError `no-summaries` where no clinic can hand anything on
 */
export function poolSummaries({ agreed, sites }: StudyGroup): PooledResult {
  const summaries = sites.map(({ summary }) => summary)
  return combineSummaries(summaries, agreed, { rounds: throughRounds(sites, agreed).rounds })
}

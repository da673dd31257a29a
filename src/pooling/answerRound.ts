import { DisclosureError } from '../core/errors.js'
import { modelRows } from './modelRows.js'
import { type ModelSums, modelOuterProducts, modelSums } from './modelSums.js'
import type { AgreedProtocol } from './protocol.js'
import type { ReleaseRecord } from './releases.js'
import { sealed } from './seal.js'
import { copied, mutable } from './sharedModel.js'
import type { SiteRows } from './siteRows.js'
import type { MadeSummary } from './siteSummary.js'
import { answerFormat, type RoundAnswer, type RoundRequest } from './summarySchema.js'

/** What a site adds to the model at the coefficients of a request, whoever holds its rows. */
export interface ModelParts {
  readonly sums: ModelSums
  /** Only in the last round. */
  readonly outerProducts: readonly (readonly number[])[] | null
}

/** An answer with what the practice notes of it. */
export interface AnsweredRound {
  readonly answer: RoundAnswer
  readonly record: ReleaseRecord
}

/**
 * Answers one round of the model with this clinic's score and information at the coefficients asked for; outer products
 * of patients' scores go along in the last round only, and only once for a release.
 *
 * @param made the release that the request rests on, made again from unchanged records
 * @param record what the practice noted of that release, with the rounds answered so far
 * @throws DisclosureError `round-refused` with the reason
 */
export function answerRound(
  rows: SiteRows,
  agreed: AgreedProtocol,
  made: MadeSummary,
  record: ReleaseRecord,
  request: RoundRequest,
  key?: string,
): AnsweredRound {
  return answerWith(
    () => {
      if ('withheld' in made.model) throw noPart()
      const taken = modelRows(rows, agreed.protocol, made.model.plan)
      const { coefficients, final } = request
      const byPatient = isByPatient(made)
      return {
        sums: modelSums(taken, coefficients),
        outerProducts: final ? modelOuterProducts(taken, coefficients, byPatient) : null,
      }
    },
    agreed,
    made,
    record,
    request,
    key,
  )
}

/** Whether outer products of a summary are summed over patients. */
export function isByPatient({ summary }: Pick<MadeSummary, 'summary'>): boolean {
  return summary.model.state === 'given' && summary.model.outerProductsOver === 'patients'
}

/** Answers a round with parts that were computed somewhere else. */
export function answerWith(
  parts: () => ModelParts,
  agreed: AgreedProtocol,
  made: Pick<MadeSummary, 'summary'>,
  record: ReleaseRecord,
  request: RoundRequest,
  key?: string,
): AnsweredRound {
  const reason = reasonToRefuse(agreed, made, record, request)
  if (reason !== undefined) throw refused(reason)
  const { summary } = made
  if (summary.model.state === 'withheld') throw noPart()
  const { sums, outerProducts } = parts()
  const content = {
    format: answerFormat,
    protocolHash: agreed.hash,
    round: request.round,
    clinic: summary.clinic,
    release: summary.release,
    summary: summary.checksum,
    sums: copied(request.coefficients, sums),
    outerProducts: outerProducts === null ? null : mutable(outerProducts),
  }
  const { round, final, coefficients } = request
  const known = record.rounds.some((one) => one.round === round)
  return Object.freeze({
    answer: sealed(content, key) as RoundAnswer,
    record: known ? record : { ...record, rounds: [...record.rounds, { round, final, coefficients }] },
  })
}

function noPart(): DisclosureError {
  return refused('this site has no part in the model')
}

function reasonToRefuse(
  agreed: AgreedProtocol,
  made: Pick<MadeSummary, 'summary'>,
  record: ReleaseRecord,
  request: RoundRequest,
): string | undefined {
  const { largestCoefficient, mostRounds } = agreed.protocol
  const { summary } = made
  if (request.protocolHash !== agreed.hash) return 'the request was made by another protocol'
  if (summary.checksum !== record.checksum) return 'the records have changed since the release'
  if (!request.sites.some(({ checksum }) => checksum === summary.checksum)) {
    return 'the request does not rest on the latest release of this site'
  }
  const size = summary.model.state === 'given' ? summary.model.names.length : 0
  if (request.coefficients.length !== size)
    return 'the request has another number of coefficients than the model'
  if (request.coefficients.some((one) => Math.abs(one) > largestCoefficient)) {
    return `a coefficient lies beyond the ${largestCoefficient} that the group agreed on`
  }
  const same = record.rounds.find(({ round }) => round === request.round)
  if (same !== undefined) {
    const equal = same.coefficients.join() === request.coefficients.join() && same.final === request.final
    return equal ? undefined : 'this round was answered before at other coefficients'
  }
  if (record.rounds.length >= mostRounds) return `${mostRounds} rounds have been answered for this release`
  if (request.final && record.rounds.filter(({ final }) => final).length >= 2) {
    return 'outer products have been given twice for this release'
  }
  return undefined
}

function refused(reason: string): DisclosureError {
  return new DisclosureError({
    code: 'round-refused',
    problem: `the round is not answered: ${reason}.`,
    expected:
      'a request by the agreed protocol, on the latest release of this site, within the agreed limits.',
    mend: 'ask the coordinator to run holdfast pool again on the latest summaries.',
  })
}

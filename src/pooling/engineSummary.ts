import { deepFreeze } from '../core/plain.js'
import { isByPatient, type ModelParts } from './answerRound.js'
import type { LevelGroups } from './balance.js'
import { type CountedSums, countedOuterProducts, countedSums } from './countedModel.js'
import type { CountSource } from './countSource.js'
import { engineMeat } from './engineScores.js'
import { commonLogRatio, estimateOf, type Span } from './ownRateRatio.js'
import type { AgreedProtocol, Protocol } from './protocol.js'
import type { ReleaseRecord } from './releases.js'
import { sealed } from './seal.js'
import { sharedBlocks } from './sharedBlocks.js'
import { copied, mutable, sumsByPatient } from './sharedModel.js'
import { planSite, type SitePlan, tooFew } from './sitePlan.js'
import { contentOf, notComparable, type SummaryOptions, settledBalance } from './siteSummary.js'
import { type EngineRows, modelClassesOf, sqlSource } from './sqlSource.js'
import type { SiteSummary, SummaryContent } from './summarySchema.js'

/** A summary that was counted inside an engine. */
export interface EngineSummary {
  readonly summary: SiteSummary
  readonly plan: SitePlan
  readonly record: ReleaseRecord
}

/**
 * Makes the summary of one clinic from rows that an engine holds: the same as `makeSiteSummary` of the same rows. A
 * model with covariates is withheld, and there can be one release only, since rows are not noted one by one.
 *
 * @throws DisclosureError `threshold-not-met`, `release-not-comparable`
 */
export async function makeEngineSummary(
  rows: EngineRows,
  agreed: AgreedProtocol,
  options: Omit<SummaryOptions, 'salt'>,
): Promise<EngineSummary> {
  const { protocol } = agreed
  if ((options.earlier ?? []).some(({ clinic }) => clinic === rows.clinic)) throw notComparable()
  const source = sqlSource(rows, protocol)
  const { plan, balance } = await settledPlan(source, agreed)
  const model = await engineModel(rows, source, protocol, plan)
  const content = await contentOf(source, rows.clinic, agreed, plan, balance, {
    ...options,
    release: 1,
    model,
  })
  const summary = sealed(content, options.key) as SiteSummary
  const { toolkit, date } = options
  const record = {
    protocolHash: agreed.hash,
    clinic: rows.clinic,
    release: 1,
    checksum: summary.checksum,
    date,
    toolkit,
    rows: [],
    rowsNotNoted: true,
    rounds: [],
  }
  return deepFreeze({ summary, plan, record })
}

async function settledPlan(
  source: CountSource,
  agreed: AgreedProtocol,
): Promise<{ readonly plan: SitePlan; readonly balance: readonly LevelGroups[] }> {
  const { protocol } = agreed
  const planned = await planSite(protocol, (grouping) => source.fine(grouping))
  const oneInterval = { ...planned, ends: planned.ends.map((ends) => ends.slice(-1)) }
  for (const plan of [planned, oneInterval]) {
    const balance = await settledBalance(source, agreed, plan)
    if (balance !== undefined) return { plan, balance }
  }
  throw tooFew(protocol.threshold)
}

async function engineModel(
  rows: EngineRows,
  source: CountSource,
  protocol: Protocol,
  plan: SitePlan,
): Promise<SummaryContent['model']> {
  if (plan.grouping.mergeGroups) {
    return { state: 'withheld', reason: 'one of the groups has too few patients to stand apart' }
  }
  if (protocol.model.covariates.length > 0) {
    return { state: 'withheld', reason: 'rows inside an engine give no model with covariates' }
  }
  const classes = await modelClassesOf(rows, plan)
  const byPatient = sumsByPatient(await source.sizes(), protocol.threshold)
  const sums = countedSums(classes, [0])
  const spans = spansOf(protocol, plan, await source.fine(plan.grouping))
  const log = commonLogRatio(spans)
  const meat = await engineMeat(rows, protocol, plan, { classes, sums, spans, log, byPatient })
  const own = log === undefined ? undefined : estimateOf(spans, log, meat.own)
  const outer = byPatient ? [[meat.model]] : countedOuterProducts(classes, sums)
  return {
    state: 'given',
    names: [protocol.groups.group],
    intervalEndsDays: plan.ends.map((ends) => ends.map((end) => protocol.gridDays[end]!)),
    restorations: classes.reduce((sum, { restorations }) => sum + restorations, 0),
    events: classes.reduce((sum, { event, restorations }) => sum + (event ? restorations : 0), 0),
    outerProductsOver: byPatient ? 'patients' : 'restorations',
    atStart: copied([0], plain(sums)),
    outerProductsAtStart: mutable(outer),
    own: own ?? null,
  }
}

/** What the site adds to the model at the coefficients of a round. */
export async function engineParts(
  rows: EngineRows,
  protocol: Protocol,
  made: EngineSummary,
  coefficients: readonly number[],
  final: boolean,
): Promise<ModelParts> {
  const { plan } = made
  const classes = await modelClassesOf(rows, plan)
  const sums = countedSums(classes, coefficients)
  if (!final) return { sums: plain(sums), outerProducts: null }
  if (!isByPatient(made)) return { sums: plain(sums), outerProducts: countedOuterProducts(classes, sums) }
  const needs = { classes, sums, spans: [], log: undefined, byPatient: true }
  const { model } = await engineMeat(rows, protocol, plan, needs)
  return { sums: plain(sums), outerProducts: [[model]] }
}

function plain({ logLikelihood, score, information }: CountedSums): Omit<CountedSums, 'scores'> {
  return { logLikelihood, score, information }
}

/** Events and days of both groups by block and interval, from the table that is shared. */
function spansOf(
  protocol: Protocol,
  plan: SitePlan,
  counts: Parameters<typeof sharedBlocks>[2],
): readonly Span[] {
  return sharedBlocks(protocol, plan, counts).flatMap(({ intervalEndsDays: ends, groups }, block) =>
    ends.map(
      (to, i): Span => ({
        from: i === 0 ? 0 : ends[i - 1]!,
        to,
        first: i === 0,
        block,
        events: [groups[0]!.endpoint[i]!, groups[1]!.endpoint[i]!],
        days: [groups[0]!.timeAtRiskDays[i]!, groups[1]!.timeAtRiskDays[i]!],
      }),
    ),
  )
}

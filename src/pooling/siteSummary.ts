import { DisclosureError } from '../core/errors.js'
import { deepFreeze } from '../core/plain.js'
import { type LevelGroups, planBalance } from './balance.js'
import { type CountSource, memorySource } from './countSource.js'
import { classesWithinReach, leavesTooFew } from './disclosure.js'
import { type ModelPlan, modelNumbers, planModel } from './modelPlan.js'
import type { AgreedProtocol } from './protocol.js'
import { isApart, planAfterReleases, tooClose } from './releasePlan.js'
import { type ReleasedRow, type ReleaseRecord, releasedRows } from './releases.js'
import { sealed } from './seal.js'
import { sharedBlocks } from './sharedBlocks.js'
import { sharedModel } from './sharedModel.js'
import { planSite, type SitePlan, tooFew } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'
import { type SiteSummary, type SummaryContent, summaryFormat } from './summarySchema.js'

/** What a summary states besides its counts. */
export interface SummaryOptions {
  /** ISO date of making. */
  readonly date: string
  /** Version of the toolkit. */
  readonly toolkit: string
  /** Whether the data are generated; default false. */
  readonly generated?: boolean
  /** Key of the group, where it has one. */
  readonly key?: string | undefined
  /** Earlier releases of this clinic, as the practice noted them; default none. */
  readonly earlier?: readonly ReleaseRecord[]
  /** Secret of the practice by which it notes restorations; never leaves it. */
  readonly salt: string
}

/** A summary with what the practice keeps to itself. */
export interface MadeSummary {
  readonly summary: SiteSummary
  readonly plan: SitePlan
  readonly balance: readonly LevelGroups[]
  readonly model: ModelPlan
  readonly record: ReleaseRecord
}

/**
 * Makes the summary of one clinic: counts on a grid that it coarsens, with rare strata and levels put together, until
 * every number has none or at least the protocol's threshold of patients behind it, also where shared numbers and those
 * of earlier releases are added and subtracted; and its part of the model.
 *
 * @param rows restorations of one clinic, as `siteRows` gives them; never written to
 * @throws DisclosureError `threshold-not-met`, `release-too-close`
 */
export async function makeSiteSummary(
  rows: SiteRows,
  agreed: AgreedProtocol,
  options: SummaryOptions,
): Promise<MadeSummary> {
  const { protocol } = agreed
  const source = memorySource(rows, protocol)
  const first = await planSite(protocol, (grouping) => source.fine(grouping))
  const earlier = (options.earlier ?? []).filter(({ clinic }) => clinic === rows.clinic)
  if (earlier.some(({ rowsNotNoted }) => rowsNotNoted === true)) throw notComparable()
  const planned =
    earlier.length === 0 ? first : planAfterReleases(rows, protocol, first, earlier, options.salt)
  const release = earlier.length + 1
  const { plan, model, balance, noted } = await settled(rows, agreed, planned, earlier, options.salt)
  const sizes = await source.sizes()
  const content = await contentOf(source, rows.clinic, agreed, plan, balance, {
    ...options,
    release,
    model: sharedModel(rows, protocol, model, sizes),
  })
  const summary = sealed(content, options.key) as SiteSummary
  const { checksum } = summary
  const record = {
    protocolHash: agreed.hash,
    clinic: rows.clinic,
    release,
    checksum,
    date: options.date,
    toolkit: options.toolkit,
    rows: noted,
    rounds: [],
  }
  return deepFreeze({ summary, plan, balance, model, record })
}

interface Settled {
  readonly plan: SitePlan
  readonly model: ModelPlan
  readonly balance: readonly LevelGroups[]
  readonly noted: readonly ReleasedRow[]
}

/**
 * Gives up what would let somebody subtract down to too few patients: first fields of the balance, the last first, then
 * a model with covariates, then the grid.
 */
async function settled(
  rows: SiteRows,
  agreed: AgreedProtocol,
  planned: SitePlan,
  earlier: readonly ReleaseRecord[],
  salt: string,
): Promise<Settled> {
  const { protocol } = agreed
  const oneInterval = { ...planned, ends: planned.ends.map((ends) => ends.slice(-1)) }
  for (const plan of [planned, oneInterval]) {
    const asked = planModel(rows, protocol, plan)
    const without: ModelPlan = { withheld: 'its covariates could be told apart by subtraction' }
    for (const model of protocol.model.covariates.length === 0 ? [asked] : [asked, without]) {
      const further = modelNumbers(rows, protocol, model)
      const own = await settledBalance(memorySource(rows, protocol, further), agreed, plan)
      if (own === undefined) continue
      for (const balance of [own, own.map(() => undefined)]) {
        const noted = releasedRows(rows, protocol, plan, balance, further, salt)
        if (isApart(noted, earlier, protocol.threshold)) return { plan, model, balance, noted }
      }
    }
  }
  throw earlier.length === 0 ? tooFew(protocol.threshold) : tooClose(protocol.threshold)
}

/**
 * Balance without the fields that would let somebody subtract down to too few patients; undefined where the table alone
 * would.
 */
export async function settledBalance(
  source: CountSource,
  { protocol }: AgreedProtocol,
  plan: SitePlan,
): Promise<readonly LevelGroups[] | undefined> {
  const groups = plan.grouping.mergeGroups ? 1 : 2
  const all = planBalance(protocol, await source.balance(plan.grouping), groups)
  for (let kept = all.length; kept >= 0; kept--) {
    const balance = all.map((parts, f) => (f < kept ? parts : undefined))
    const classes = await source.classes(plan, balance)
    const reached = classesWithinReach(classes, protocol.threshold)
    if (reached.length === 0 && !leavesTooFew(classes, protocol.threshold)) return balance
  }
  return undefined
}

/** Content of a summary from counts, whoever holds the rows. */
export async function contentOf(
  source: CountSource,
  clinic: string,
  agreed: AgreedProtocol,
  plan: SitePlan,
  balance: readonly LevelGroups[],
  part: Omit<SummaryOptions, 'salt'> & { readonly release: number; readonly model: SummaryContent['model'] },
): Promise<SummaryContent> {
  const { protocol, hash } = agreed
  const sizes = await source.sizes()
  const { threshold } = protocol
  if (sizes.restorations === 0) throw nothingToShare()
  const few = sizes.patientsWithSeveral > 0 && sizes.patientsWithSeveral < threshold
  return {
    format: summaryFormat,
    toolkit: part.toolkit,
    protocol: { name: protocol.name, version: protocol.version, hash },
    clinic,
    release: part.release,
    date: part.date,
    generated: part.generated ?? false,
    threshold,
    competingEvents: plan.grouping.foldCompeting ? 'counted as censored' : 'apart',
    restorations: sizes.restorations,
    patients: few
      ? { state: 'withheld', reason: `fewer than ${threshold} patients have more than one restoration` }
      : sizes.patients,
    blocks: sharedBlocks(protocol, plan, await source.fine(plan.grouping)),
    balance: await sharedBalance(source, agreed, plan, balance),
    model: part.model,
  }
}

async function sharedBalance(
  source: CountSource,
  { protocol }: AgreedProtocol,
  plan: SitePlan,
  balance: readonly LevelGroups[],
): Promise<SummaryContent['balance']> {
  const counts = await source.balance(plan.grouping)
  const groups = plan.grouping.mergeGroups ? 1 : 2
  return protocol.balance.map(({ field, levels }, f) => {
    const parts = balance[f]
    if (parts === undefined) {
      return { field, state: 'withheld' as const, reason: 'too few patients behind a level' }
    }
    const all = [...levels, 'unknown']
    return {
      field,
      levels: parts.map((part) => ({
        levels: part.map((level) => all[level]!),
        restorations: Array.from({ length: groups }, (_one, g) =>
          part.reduce((sum, level) => sum + counts[f]!.rows[g * all.length + level]!, 0),
        ),
      })),
    }
  })
}

/** The refusal of a release after one whose rows were not noted. */
export function notComparable(): DisclosureError {
  return new DisclosureError({
    code: 'release-not-comparable',
    problem:
      'an earlier release was counted inside an engine, its rows were not noted, and this one cannot be set against it.',
    expected: 'one release for each clinic where rows are counted inside an engine.',
    mend: 'leave the earlier release in use; sites that will share again should share from their records, without --sql.',
  })
}

function nothingToShare(): DisclosureError {
  return new DisclosureError({
    code: 'nothing-to-share',
    problem: 'the clinic has no restoration in either of the two groups of the protocol.',
    expected: 'restorations in at least one of the groups that the protocol names.',
    mend: 'check the tightening events of the delivery day, or leave this clinic out.',
  })
}

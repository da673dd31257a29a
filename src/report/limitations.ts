import type { AuditResult } from '../analysis/audit.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { endpointOf } from '../vocabulary/endpoints.js'
import { headlineHorizon } from './wording/incidenceWords.js'

/** What may limit what the results say; each is triggered by the data, and worded in wording/limitationWords.ts. */
export type LimitationKey =
  | 'generated'
  | 'no-events'
  | 'few-events'
  | 'few-events-compared'
  | 'few-events-in-model'
  | 'clustering'
  | 'one-patient'
  | 'few-patients'
  | 'not-assigned-by-chance'
  | 'no-plan'
  | 'departures'
  | 'little-overlap'
  | 'out-of-balance'
  | 'not-recorded'
  | 'unequal-follow-up'
  | 'short-follow-up'
  | 'unknown-exposure'
  | 'reported-exposure'
  | 'exposure-disagrees'
  | 'hazards-not-proportional'
  | 'found-at-visits'
  | 'schedules-differ'
  | 'never-checked'
  | 'lost'
  | 'competing'
  | 'competing-beyond-recall'
  | 'late-entry'
  | 'rows-set-aside'
  | 'incomplete'
  | 'one-clinic'
  | 'few-operators'
  | 'form-of-records'

/** Fewer events than this are few. */
const fewEvents = 10

/** Fewer patients than this are few for intervals that sum over patients. */
const fewPatients = 30

/** Operators below which their spread cannot be estimated. */
const fewOperators = 10

/** Median follow-ups further apart than this share of the shorter are unequal. */
const unequalShare = 0.25

/** A field of the comparison that is not known in more than this share of rows is told. */
const incompleteShare = 0.1

/** Standardised difference after weighting from which a trait is out of balance. */
const outOfBalance = 0.1

/** Whether each limitation holds, in the order in which a report lists them. */
const triggers: Readonly<Record<LimitationKey, (audit: AuditResult) => boolean>> = {
  generated: ({ summary }) => summary.source.generated,
  'no-events': ({ incidence }) => incidence.overall.events === 0,
  'few-events': ({ incidence }) => incidence.overall.events > 0 && incidence.overall.events < fewEvents,
  'few-events-compared': ({ fair }) => fair?.lead.kind === 'cannot-be-known',
  'few-events-in-model': ({ model }) =>
    model?.warnings.some(({ code }) => code === 'few-events-per-covariate') ?? false,
  clustering: ({ incidence: { overall } }) => overall.patients < overall.restorations && overall.patients > 1,
  'one-patient': ({ incidence: { overall } }) => overall.patients === 1 && overall.restorations > 1,
  'few-patients': ({ incidence: { overall } }) => overall.patients > 1 && overall.patients < fewPatients,
  'not-assigned-by-chance': ({ comparison }) =>
    comparison?.reasons.some(({ reason }) => reason !== 'random') ?? false,
  'no-plan': ({ fair }) => fair?.plan.source === 'default',
  departures: ({ fair }) => (fair?.departures.length ?? 0) > 0,
  'little-overlap': ({ comparison }) => comparison !== undefined && !comparison.adjustedMayLead,
  'out-of-balance': ({ fair }) => above(fair?.who.balance?.largestAfter, outOfBalance),
  'not-recorded': ({ fair }) =>
    fair?.who.leftOut.some(({ reason }) => reason === 'not-recorded' || reason === 'too-incomplete') ?? false,
  'unequal-follow-up': unequalFollowUp,
  'short-follow-up': shortFollowUp,
  'unknown-exposure': ({ incidence }) => incidence.byGroup.some(({ group }) => group === 'unknown'),
  'reported-exposure': ({ summary }) => summary.exposureFromReportOnly > 0,
  'exposure-disagrees': ({ summary }) => summary.exposureDisagreements > 0,
  'hazards-not-proportional': ({ fair }) =>
    fair?.proportionalHazards !== undefined && below(fair.proportionalHazards.pValue, 0.05),
  'found-at-visits': ({ definition, incidence }) =>
    endpointOf(definition.endpoint).foundBy === 'screw-check' && incidence.overall.events > 0,
  'schedules-differ': ({ fair }) => fair?.wrong.schedules.differ ?? false,
  'never-checked': ({ summary }) => summary.neverChecked > 0,
  lost: ({ fair }) => {
    const lost = fair?.wrong.lost
    return lost !== undefined && lost.group.lost + lost.against.lost > 0
  },
  competing: ({ incidence }) => incidence.overall.competingEvents > 0,
  'competing-beyond-recall': ({ summary }) => summary.competingBeyondRecall > 0,
  'late-entry': ({ lifeTable }) => (lifeTable?.lateEntry ?? 0) > 0,
  'rows-set-aside': ({ summary }) => Object.values(summary.quality.rows).some(({ setAside }) => setAside > 0),
  incomplete: (audit) => incompleteTraits(audit).length > 0,
  'one-clinic': ({ summary }) => summary.clinics.length < 2,
  'few-operators': ({ summary }) => summary.operators > 0 && summary.operators < fewOperators,
  'form-of-records': ({ summary }) => summary.source.cannotAnswer.length > 0,
}

/** The limitations that the data of an audit set, in order. */
export function limitationsOf(audit: AuditResult): readonly LimitationKey[] {
  return (Object.keys(triggers) as LimitationKey[]).filter((key) => triggers[key](audit))
}

/** Positions of the traits that are recorded, but in too few restorations of the cohort. */
export function incompleteTraits({ characteristics }: AuditResult): readonly number[] {
  return (characteristics?.traits ?? []).flatMap(({ byGroup }, index) => {
    const { known, unknown } = byGroup[0]!
    return unknown > incompleteShare * (known + unknown) ? [index] : []
  })
}

function unequalFollowUp({ fair }: AuditResult): boolean {
  const years = fair?.wrong.medianFollowUpYears
  if (years === undefined || !isNumber(years.group) || !isNumber(years.against)) return false
  return Math.abs(years.group - years.against) > unequalShare * Math.min(years.group, years.against)
}

/** Whether half of the restorations were followed for less than the horizon that leads. */
function shortFollowUp(audit: AuditResult): boolean {
  const { horizons, medianFollowUpYears } = audit.incidence.overall
  const horizon = horizons[headlineHorizon(audit)]
  return horizon !== undefined && below(medianFollowUpYears.estimate, horizon.years)
}

function above(quantity: Quantity | undefined, limit: number): boolean {
  return quantity !== undefined && isNumber(quantity) && quantity >= limit
}

function below(quantity: Quantity, limit: number): boolean {
  return isNumber(quantity) && quantity < limit
}

import { isNumber, type Quantity } from '../../core/estimate.js'
import { endingsWithoutColumn } from '../../questions/answer/answer.js'
import type { AuditResult } from '../../questions/audit.js'
import { fewEventsBelow } from '../../questions/howOften/fewEvents.js'
import { endpointOf } from '../../vocabulary/endpoints.js'
import { headlineHorizon } from '../wording/incidenceWords.js'

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
  | 'little-overlap'
  | 'not-recorded'
  | 'unequal-follow-up'
  | 'short-follow-up'
  | 'unknown-exposure'
  | 'reported-exposure'
  | 'exposure-disagrees'
  | 'found-at-visits'
  | 'never-checked'
  | 'lost'
  | 'competing'
  | 'competing-beyond-recall'
  | 'endings-without-column'
  | 'late-entry'
  | 'rows-set-aside'
  | 'incomplete'
  | 'one-clinic'
  | 'few-operators'
  | 'form-of-records'

/** Fewer patients than this are few for intervals that sum over patients. */
const fewPatients = 30

/** Operators below which their spread cannot be estimated. */
const fewOperators = 10

/** Median follow-ups further apart than this share of the shorter are unequal. */
const unequalShare = 0.25

/** A field of the comparison that is not known in more than this share of rows is told. */
const incompleteShare = 0.1

/** Whether each limitation holds, in the order in which a report lists them. */
const triggers: Readonly<Record<LimitationKey, (audit: AuditResult) => boolean>> = {
  generated: ({ summary }) => summary.source.generated,
  'no-events': ({ incidence }) => incidence.overall.events === 0,
  'few-events': ({ incidence }) => incidence.overall.events > 0 && incidence.overall.events < fewEventsBelow,
  'few-events-compared': ({ tightening }) => tightening?.reason === 'few-events',
  'few-events-in-model': ({ model }) =>
    model?.warnings.some(({ code }) => code === 'few-events-per-covariate') ?? false,
  clustering: ({ incidence: { overall } }) => overall.patients < overall.restorations && overall.patients > 1,
  'one-patient': ({ incidence: { overall } }) => overall.patients === 1 && overall.restorations > 1,
  'few-patients': ({ incidence: { overall } }) => overall.patients > 1 && overall.patients < fewPatients,
  'not-assigned-by-chance': ({ comparison }) =>
    comparison?.reasons.some(({ reason }) => reason !== 'random') ?? false,
  'no-plan': ({ tightening }) => tightening?.plan?.source === 'default',
  'little-overlap': ({ comparison }) => comparison !== undefined && !comparison.adjustedMayLead,
  'not-recorded': ({ tightening }) =>
    tightening?.leftOut.some(({ reason }) => reason === 'not-recorded') ?? false,
  'unequal-follow-up': unequalFollowUp,
  'short-follow-up': shortFollowUp,
  'unknown-exposure': ({ incidence }) => incidence.byGroup.some(({ group }) => group === 'unknown'),
  'reported-exposure': ({ summary }) => summary.exposureFromReportOnly > 0,
  'exposure-disagrees': ({ summary }) => summary.exposureDisagreements > 0,
  'found-at-visits': ({ definition, incidence }) =>
    endpointOf(definition.endpoint).foundBy === 'screw-check' && incidence.overall.events > 0,
  'never-checked': ({ summary }) => summary.neverChecked > 0,
  lost: ({ tightening }) => {
    const lost = tightening?.loss?.lost
    return lost !== undefined && lost.group + lost.against > 0
  },
  competing: ({ incidence }) => incidence.overall.competingEvents > 0,
  'competing-beyond-recall': ({ summary }) => summary.competingBeyondRecall > 0,
  'endings-without-column': ({ summary }) => endingsWithoutColumn(summary).length > 0,
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

function unequalFollowUp(audit: AuditResult): boolean {
  const [group, against] = comparedIncidences(audit).map((index) => {
    const years = audit.incidence.byGroup[index]?.medianFollowUpYears.estimate
    return years !== undefined && isNumber(years) ? years : undefined
  })
  if (group === undefined || against === undefined) return false
  return Math.abs(group - against) > unequalShare * Math.min(group, against)
}

/** Positions of the two groups compared among the groups of the incidence. */
export function comparedIncidences({ tightening, incidence }: AuditResult): readonly number[] {
  if (tightening === undefined) return []
  const { group, against } = tightening.groups
  return [group, against].map((name) => incidence.byGroup.findIndex((one) => one.group === name))
}

/** Whether half of the restorations were followed for less than the horizon that leads. */
function shortFollowUp(audit: AuditResult): boolean {
  const { horizons, medianFollowUpYears } = audit.incidence.overall
  const horizon = horizons[headlineHorizon(audit)]
  return horizon !== undefined && below(medianFollowUpYears.estimate, horizon.years)
}

function below(quantity: Quantity, limit: number): boolean {
  return isNumber(quantity) && quantity < limit
}

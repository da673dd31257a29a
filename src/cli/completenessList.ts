import { formatPercent } from '../core/format.js'
import type { QualityReport } from '../records/dataset.js'

const fieldsShown = 10

/** How complete the fields are, the least complete first; by clinic and tightening group for these fields. */
export function completenessList(quality: QualityReport): string {
  const { completeness, completenessByClinic = [], completenessByTighteningGroup = [] } = quality
  if (completeness.length === 0) return ''
  const share = ({ known, unknown }: { known: number; unknown: number }): number =>
    known / Math.max(1, known + unknown)
  const incomplete = completeness
    .filter((one) => one.unknown > 0)
    .sort((left, right) => share(left) - share(right))
  const groupsOf = (table: string, field: string): string =>
    [...completenessByClinic, ...completenessByTighteningGroup]
      .filter((one) => one.table === table && one.field === field && one.known + one.unknown > 0)
      .map((one) => `${one.group} ${formatPercent(share(one))}`)
      .join(', ')
  const lines = incomplete.slice(0, fieldsShown).flatMap((one) => {
    const groups = groupsOf(one.table, one.field)
    return [
      `  ${one.table}, ${one.field}: known in ${one.known} of ${one.known + one.unknown} rows (${formatPercent(share(one))})`,
      ...(groups === '' ? [] : [`    ${groups}`]),
    ]
  })
  const complete = completeness.length - incomplete.length
  const more = incomplete.length - fieldsShown
  return [
    `Completeness: ${complete} of ${completeness.length} fields are known in every row`,
    ...lines,
    ...(more > 0 ? [`  and ${more} more; the report lists every field`] : []),
    '',
  ].join('\n')
}

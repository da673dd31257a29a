import type { AuditResult } from '../../analysis/audit.js'
import type { Estimate } from '../../core/estimate.js'
import { speaker } from '../../messages/speaker.js'
import { usedMethods } from '../../questions/registry.js'
import { secondQuantities } from '../wording.js'

/** A quantity with the results that name its method. */
export type NamedMethods = readonly [string, readonly Pick<Estimate, 'method' | 'reference'>[]]

/** Methods that the sections after the comparison name: wait, change of protocol, torque, repeats, time and clinics. */
export function secondMethods(audit: AuditResult): readonly NamedMethods[] {
  const { wait, protocolChange, repeats, hazardOverTime, clinicFunnel } = audit
  const present = <T>(values: readonly (T | undefined)[]): readonly T[] =>
    values.filter((value): value is T & {} => value !== undefined)
  const periods = present((protocolChange?.clinics ?? []).map(({ compared }) => compared))
  const counts = repeats === undefined ? [] : [repeats.overall, ...repeats.byGroup]
  const words = secondQuantities
  return [
    [words.wait, present([wait?.curve])],
    [words.waitGroups, present((wait?.groups ?? []).map(({ hazardRatio }) => hazardRatio))],
    [words.periodRisk, periods.map(({ riskDifference }) => riskDifference)],
    [words.periodRate, present(periods.flatMap(({ rateRatio, levelChange }) => [rateRatio, levelChange]))],
    ...usedMethods(audit).map(({ quantity, used }): NamedMethods => [speaker().text(quantity), used]),
    [
      words.counts,
      counts.flatMap(({ horizons }) =>
        horizons.flatMap(({ whileInPlace, terminalCounted }) => [whileInPlace, terminalCounted]),
      ),
    ],
    [words.again, counts.flatMap(({ again }) => again.map(({ risk }) => risk))],
    [words.hazard, present((hazardOverTime?.groups ?? []).map(({ curve }) => curve))],
    [words.funnel, present([clinicFunnel])],
  ]
}

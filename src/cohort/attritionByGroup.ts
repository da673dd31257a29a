import { deepFreeze } from '../core/plain.js'
import { type ExposureGroup, exposureGroups } from './definition.js'
import type { DeliveryDayExposure } from './exposure.js'
import type { Selection } from './selection.js'

/** What became of the restorations of one exposure group between the records and the cohort. */
export interface GroupAttrition {
  readonly group: ExposureGroup
  /** Restorations of the records, after the checks, with this exposure on the day of delivery. */
  readonly restorations: number
  /** Left out, by the code of the reason; reasons that left nobody out are absent. */
  readonly leftOut: readonly { readonly code: string; readonly restorations: number }[]
  /** All of those left out. */
  readonly leftOutTotal: number
  readonly included: number
}

/** Account of each exposure group; groups that the records do not hold are absent, "unknown" is a row like any other. */
export function attritionByGroup(
  exposure: DeliveryDayExposure,
  selection: Selection,
): readonly GroupAttrition[] {
  const counts = exposureGroups.map(() => ({
    restorations: 0,
    included: 0,
    leftOut: new Map<string, number>(),
  }))
  exposure.groupCode.forEach((code, row) => {
    const group = counts[code]!
    group.restorations += 1
    const reason = selection.leftOutFor(row)
    if (reason === undefined) group.included += 1
    else group.leftOut.set(reason, (group.leftOut.get(reason) ?? 0) + 1)
  })
  return deepFreeze(
    counts.flatMap(({ restorations, included, leftOut }, code) =>
      restorations === 0
        ? []
        : [
            {
              group: exposureGroups[code]!,
              restorations,
              leftOut: [...leftOut]
                .sort(([left], [right]) => (left < right ? -1 : 1))
                .map(([reason, number]) => ({ code: reason, restorations: number })),
              leftOutTotal: restorations - included,
              included,
            },
          ],
    ),
  )
}

import { daysPerYear } from '../core/calendar.js'
import type { Contrast, Estimate } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { pooledRateRatio } from '../statistics/mantelHaenszel.js'
import { rate } from '../statistics/rates.js'
import { rateStrata } from './combine.js'
import type { Protocol } from './protocol.js'
import { spreadMethod, spreadRetentions } from './spreadRetention.js'
import type { SiteSummary } from './summarySchema.js'

/** Figures of one side of a comparison. */
export interface SiteFigures {
  readonly restorations: number
  readonly events: number
  readonly ratePer100Years: Estimate
  readonly horizons: readonly { readonly years: number; readonly retention: Estimate }[]
  /** Of the two groups, clinics and strata apart; undefined where no clinic, or of the others only one, shows both. */
  readonly rateRatio: Contrast | undefined
}

/** One site beside all others of its group; for that site only. */
export interface SiteComparison {
  readonly clinic: string
  readonly generated: boolean
  readonly own: SiteFigures
  /** Undefined where there is no other site. */
  readonly others: SiteFigures | undefined
}

/**
 * Sets each site beside the others, which are pooled. Where there are two sites, the others are one: nothing is shown
 * then that the other site has not shared with the coordinator, but each would see the other's figures, so that the
 * others are left out below three sites.
 */
export function siteComparisons(
  accepted: readonly SiteSummary[],
  protocol: Protocol,
): readonly SiteComparison[] {
  return deepFreeze(
    accepted.map((site) => {
      const others = accepted.filter((one) => one !== site)
      return {
        clinic: site.clinic,
        generated: site.generated,
        own: figuresOf([site], protocol),
        others: others.length < 2 ? undefined : figuresOf(others, protocol, 2),
      }
    }),
  )
}

/** @param leastComparing fewest sites that a rate ratio may rest on */
function figuresOf(sites: readonly SiteSummary[], protocol: Protocol, leastComparing = 1): SiteFigures {
  const tables = sites.flatMap(({ blocks }) => blocks.flatMap(({ groups }) => groups))
  const sum = (column: readonly number[]): number => column.reduce((total, one) => total + one, 0)
  const events = sum(tables.map(({ endpoint }) => sum(endpoint)))
  const years = sum(tables.map(({ timeAtRiskDays }) => sum(timeAtRiskDays))) / daysPerYear
  const restorations = sum(sites.map((site) => site.restorations))
  const strata = rateStrata(sites, protocol)
  const comparing = sites.filter((site) => site.blocks[0]!.groups.length === 2).length
  const { level, horizonsYears, groups } = protocol
  const days = [...horizonsYears].sort((left, right) => left - right).map((horizon) => horizon * daysPerYear)
  return {
    restorations,
    events,
    ratePer100Years: rate(events, years / 100, { level }),
    horizons: spreadRetentions(sites, () => true, days, level).map((reading) => ({
      years: reading.timeDays / daysPerYear,
      retention: {
        estimate: reading.retention,
        interval: reading.interval,
        level,
        method: spreadMethod,
        n: restorations,
        events: reading.events,
        clusters: restorations,
        warnings: [],
        reference: 'pooled-curve',
      },
    })),
    rateRatio:
      comparing < leastComparing
        ? undefined
        : pooledRateRatio(strata, { level, comparator: { group: groups.group, against: groups.against } }),
  }
}

import { missingDay } from '../columns.js'

/** How far days since delivery are rounded. */
export type DayRule = 'exact' | 'weeks' | 'months' | 'quarters' | 'years'

const daysOf: Readonly<Record<DayRule, number>> = {
  exact: 1,
  weeks: 7,
  months: 365.25 / 12,
  quarters: 365.25 / 4,
  years: 365.25,
}

/** A day rounded to the nearest whole week, month, quarter or year; what is not the delivery does not fall on it. */
export function coarseDay(day: number, rule: DayRule): number {
  if (rule === 'exact' || day === 0 || day === missingDay) return day
  const steps = Math.round(Math.abs(day) / daysOf[rule])
  return Math.sign(day) * Math.round(Math.max(1, steps) * daysOf[rule])
}

/**
 * How far from the truth days since delivery may lie: the days of the coarsest unit in whole ones of which they are counted, 0
 * where they are exact. A single day that fits no unit is a slip, and does not make the others exact.
 */
export function roundingOf(days: Int32Array): number {
  let counted = 0
  const fitting = coarseRules.map(() => 0)
  for (const day of days) {
    if (day === missingDay || day === 0) continue
    counted++
    coarseRules.forEach((rule, index) => {
      if (coarseDay(day, rule) === day) fitting[index]!++
    })
  }
  const rule = coarseRules.find((_rule, index) => counted > 0 && fitting[index]! >= fittingShare * counted)
  return rule === undefined ? 0 : Math.ceil(daysOf[rule])
}

const coarseRules = ['years', 'quarters', 'months', 'weeks'] as const
const fittingShare = 0.95

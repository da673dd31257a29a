/** Whole days since 1970-01-01 in the proleptic Gregorian calendar, free of time zones. */
export type DayNumber = number

const millisecondsPerDay = 86_400_000

/** Days per year by which the toolkit turns days into years. */
export const daysPerYear = 365.25

/** Day number of a calendar date, or undefined where there is no such date. Month counts from 1. */
export function dayNumber(year: number, month: number, day: number): DayNumber | undefined {
  const milliseconds = Date.UTC(year, month - 1, day)
  const date = new Date(milliseconds)
  if (year < 1000 || date.getUTCFullYear() !== year || date.getUTCMonth() !== month - 1) return undefined
  if (date.getUTCDate() !== day) return undefined
  return milliseconds / millisecondsPerDay
}

/** Day number of an ISO 8601 calendar date (YYYY-MM-DD), or undefined. */
export function dayFromIso(text: string): DayNumber | undefined {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text)
  if (match === null) return undefined
  return dayNumber(Number(match[1]), Number(match[2]), Number(match[3]))
}

/** ISO 8601 date (YYYY-MM-DD) of a day number. */
export function isoFromDay(day: DayNumber): string {
  return new Date(day * millisecondsPerDay).toISOString().slice(0, 10)
}

/** Calendar year of a day number. */
export function yearOfDay(day: DayNumber): number {
  return new Date(day * millisecondsPerDay).getUTCFullYear()
}

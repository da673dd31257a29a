import { dayFromIso, isoFromDay } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'

/** The day of making: as the option gives it, else today by the clock of the machine. */
export function dayOfMaking(option: string | undefined): { readonly iso: string; readonly day: number } {
  const iso = option ?? localToday()
  const day = dayFromIso(iso)
  if (day === undefined) {
    throw new UsageError({
      code: 'bad-date',
      problem: '--date is not a calendar date.',
      expected: 'an ISO date such as 2026-01-31.',
      mend: 'write --date 2026-01-31.',
    })
  }
  return { iso: isoFromDay(day), day }
}

function localToday(): string {
  const now = new Date()
  const two = (value: number): string => String(value).padStart(2, '0')
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`
}

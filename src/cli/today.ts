import { dayFromIso, isoFromDay } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import { today } from '../notebook/today.js'

/** The day of making: as the option gives it, else today by the clock of the machine. */
export function dayOfMaking(option: string | undefined): { readonly iso: string; readonly day: number } {
  const day = option === undefined ? today() : dayFromIso(option)
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

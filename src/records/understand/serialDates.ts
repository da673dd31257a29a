import { type DayNumber, isoFromDay } from '../../core/calendar.js'

/** Epoch of the serial dates of a spreadsheet. */
export type DateEpoch = 1900 | 1904

/**
 * Day number of a serial date. In the epoch of 1900 day 60 is a 29 February that never was, and everything after it is
 * one too high; that day has no day number.
 */
export function dayOfSerial(serial: number, epoch: DateEpoch): DayNumber | undefined {
  const whole = Math.floor(serial)
  if (!Number.isFinite(whole) || whole < 0 || whole > 2_958_465) return undefined
  if (epoch === 1904) return whole - 24_107
  if (whole === 60 || whole === 0) return undefined
  return whole < 60 ? whole - 25_568 : whole - 25_569
}

/** ISO date of a serial date, or undefined where there is no such day. */
export function isoOfSerial(serial: number, epoch: DateEpoch): string | undefined {
  const day = dayOfSerial(serial, epoch)
  return day === undefined ? undefined : isoFromDay(day)
}

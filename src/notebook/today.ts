const millisecondsPerDay = 86_400_000

/** Today's day number in the calendar of the machine; the one place, with the command line, where a clock is read. */
export function today(): number {
  const now = new Date()
  return Math.floor((now.getTime() - now.getTimezoneOffset() * 60_000) / millisecondsPerDay)
}

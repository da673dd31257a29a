/** Begins to measure a time; what it gives tells the milliseconds since then. For what is shown, never for a result. */
export function stopwatch(): () => number {
  const begun = Date.now()
  return () => Date.now() - begun
}

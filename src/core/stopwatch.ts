/** Begins to measure a time; what it gives tells the milliseconds since then, whatever happens to the clock. For what is shown, never for a result. */
export function stopwatch(): () => number {
  const begun = performance.now()
  return () => performance.now() - begun
}

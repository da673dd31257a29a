/** Row numbers as ranges ("3, 7–9, 12"), up to a number of rows; gives how many rows the text names. */
export function rowRanges(
  rows: readonly number[],
  most: number,
): { readonly text: string; readonly shown: number } {
  const sorted = [...new Set(rows)].sort((a, b) => a - b)
  const kept = sorted.slice(0, Math.min(most, sorted.length))
  const parts: string[] = []
  for (let start = 0; start < kept.length; ) {
    let end = start
    while (end + 1 < kept.length && kept[end + 1] === kept[end]! + 1) end++
    if (end - start >= 2) parts.push(`${kept[start]}–${kept[end]}`)
    else for (let index = start; index <= end; index++) parts.push(String(kept[index]))
    start = end + 1
  }
  return { text: parts.join(', '), shown: kept.length }
}

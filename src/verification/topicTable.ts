import type { TopicSummary } from './verify.js'

const headings = [
  'topic',
  'cases',
  'values',
  'worst relative difference',
  'disagreeing',
  'not computed',
] as const

/** Table by topic as GitHub-flavoured Markdown, aligned so that it also reads in a terminal. */
export function topicTable(topics: ReadonlyMap<string, TopicSummary>): string {
  const rows = [...topics].map(([topic, sum]) => [
    topic,
    String(sum.cases),
    String(sum.values),
    sum.worstRelative === 0 ? '0' : sum.worstRelative.toExponential(1),
    String(sum.disagreeing),
    String(sum.uncomputed),
  ])
  const widths = headings.map((heading, i) => Math.max(heading.length, ...rows.map((row) => row[i]!.length)))
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]!))).join(' | ')} |`
  const rule = `|${widths.map((width, i) => (i === 0 ? '-'.repeat(width + 2) : `${'-'.repeat(width + 1)}:`)).join('|')}|`
  return `${[line(headings), rule, ...rows.map(line)].join('\n')}\n`
}

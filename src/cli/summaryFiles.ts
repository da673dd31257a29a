import { join } from 'node:path'
import { stableJson } from '../core/plain.js'
import type { RoundAnswer, SiteSummary } from '../pooling/summarySchema.js'
import { fileNameOf, type WholeFile } from './sharing.js'

/** A summary and the page that shows all of it, as files for a folder that is sent. */
export async function summaryFiles(
  summary: SiteSummary,
  out: string,
): Promise<{ readonly files: readonly WholeFile[]; readonly told: readonly string[] }> {
  const [{ shareDocument }, { documentHtml }] = await Promise.all([
    import('../report/shareDocument.js'),
    import('../report/html.js'),
  ])
  const name = join(out, `${fileNameOf(summary.clinic)}-release-${summary.release}`)
  const page = documentHtml(shareDocument(summary, { date: summary.date }), new Map())
  return {
    files: [
      { path: `${name}.json`, content: `${stableJson(summary, 1)}\n` },
      { path: `${name}-what-leaves.html`, content: page },
    ],
    told: [`Summary: ${name}.json`, `Read before you send it: ${name}-what-leaves.html`],
  }
}

/** An answer to a round and the page that shows all of it. */
export async function answerFiles(
  answer: RoundAnswer,
  out: string,
  making: { readonly date: string; readonly generated: boolean },
): Promise<{ readonly files: readonly WholeFile[]; readonly told: readonly string[] }> {
  const [{ answerDocument }, { documentHtml }] = await Promise.all([
    import('../report/answerDocument.js'),
    import('../report/html.js'),
  ])
  const name = join(out, `${fileNameOf(answer.clinic)}-answer-${answer.round}`)
  const page = documentHtml(answerDocument(answer, making), new Map())
  return {
    files: [
      { path: `${name}.json`, content: `${stableJson(answer, 1)}\n` },
      { path: `${name}-what-leaves.html`, content: page },
    ],
    told: [`Answer: ${name}.json`, `Read before you send it: ${name}-what-leaves.html`],
  }
}
